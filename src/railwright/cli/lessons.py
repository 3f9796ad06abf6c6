"""`railwright lesson`: the lesson of a supply as one page that works offline."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from railwright.cli.options import Asked, existing, print_json, solving, study_from
from railwright.cli.progress import shown_progress

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.documents.lesson import LessonFile
    from railwright.jobs import Report
    from railwright.study import Study

_DEFAULT_COURSE = "uk"


@click.command(short_help="The lesson of a supply: one page that works offline.")
@solving
@click.option("-o", "output", metavar="F.html", help="The page to write.")
@click.option(
    "--edition",
    type=click.Choice(["student", "teacher"]),
    default="student",
    show_default=True,
    help="The student's edition has no answers in the file.",
)
@click.option(
    "--course",
    "course_name",
    metavar="uk|us|F.toml",
    help="Words, letters, symbols, digits: a profile or a course file; the lesson's own, or uk, if unsaid.",
)
@click.option(
    "--handout",
    metavar="F.pdf",
    help="Hand-outs too: F-student.pdf with blanks, F-teacher.pdf with answers, and both as .docx.",
)
@click.option("--film", metavar="F.mp4", help="A film too: one period in slow motion, and F.vtt with its subtitles.")
@click.option(
    "--film-seconds",
    metavar="N",
    type=click.FloatRange(min=1.0, max=3600.0),
    help="How long the film is; as long as its captions need if unsaid. A short one leaves chapters out.",
)
@click.option("--stills", metavar="DIR", help="Stills too: pictures for slides, in a folder.")
def lesson(
    asked: Asked,
    output: str | None,
    edition: str,
    course_name: str | None,
    handout: str | None,
    film: str | None,
    film_seconds: float | None,
    stills: str | None,
) -> None:
    """Write the lesson of SHEET, a supply or a lesson file, as one page that needs no network.

    Circuit, current's way, waveforms, working by hand, ratings and questions, with sliders for time, capacitance and
    load. The class gets the student's edition; the teacher's has the answers.
    """
    from railwright.course import read_course
    from railwright.documents.lesson import is_lesson, read_lesson
    from railwright.jobs import part_of, refuse_unwritable, write_all_atomically

    _check_names(output, handout, film, film_seconds, stills)
    given = existing(asked.sheet)
    authored: LessonFile | None = None
    if is_lesson(given):
        authored = read_lesson(given)
        asked = replace(asked, sheet=str(authored.sheet))
    course = read_course(course_name or (authored.course if authored else None) or _DEFAULT_COURSE)
    study = study_from(asked)
    title = study.title or Path(given).name
    works = {"page": output, "handout": handout, "film": film, "stills": stills}
    for place in _places(output, handout, film, stills):
        refuse_unwritable(place)
    made: list[_Made] = []
    wanted = [name for name, path in works.items() if path is not None]
    whole = sum(_SHARES[name] for name in wanted)
    done = 0.0
    # Everything is made before anything is written: what is refused or stopped half-way leaves nothing.
    with shown_progress() as shown:
        for name in wanted:
            path = works[name]
            assert path is not None
            report = part_of(shown, done / whole, (done + _SHARES[name]) / whole)
            done += _SHARES[name]
            if name == "page":
                made.append(_page(path, study, course, authored, edition, title, report))
            elif name == "handout":
                made.append(_handouts(path, study, course, authored, report))
            elif name == "film":
                made.append(_film(path, study, course, film_seconds, report))
            else:
                made.append(_stills(path, study, course, report))
        write_all_atomically(
            {Path(path): content for one in made for path, content in one.files.items()},
            folders=[folder for one in made for folder in one.folders],
            obsolete=[old for one in made for old in one.obsolete],
        )
    if asked.json:
        told: dict[str, Any] = {"title": study.title, "model": study.model}
        for one in made:
            told |= one.told
        print_json(told)
    else:
        for one in made:
            click.echo(one.sentence)


#: How long each product takes beside the others, for the bar.
_SHARES: Mapping[str, float] = {"page": 3.0, "handout": 4.0, "film": 30.0, "stills": 3.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """A finished product: its files, and what is said about it."""

    files: Mapping[str, bytes]
    told: Mapping[str, Any]
    sentence: str
    folders: tuple[Path, ...] = ()
    obsolete: tuple[Path, ...] = field(default=())


def _check_names(
    output: str | None, handout: str | None, film: str | None, film_seconds: float | None, stills: str | None
) -> None:
    """Refuse a name that can't be meant, before anything is solved."""
    from railwright.cli.failures import BadInput

    if output is handout is film is stills is None:
        raise BadInput("Say what to write: -o F.html, --handout F.pdf, --film F.mp4 or --stills DIR.")
    if output is not None and not output.lower().endswith((".html", ".htm")):
        raise BadInput(f"-o {output}: a lesson is written as .html. Name a file that ends in it.")
    if handout is not None and not handout.lower().endswith(".pdf"):
        raise BadInput(f"--handout {handout}: hand-outs are named after a .pdf. Name a file that ends in it.")
    if film is not None and not film.lower().endswith(".mp4"):
        raise BadInput(f"--film {film}: a film is written as .mp4. Name a file that ends in it.")
    if stills is not None and Path(stills).exists() and not Path(stills).is_dir():
        raise BadInput(f"--stills {stills}: it is a file. Name a folder.")
    if film_seconds is not None and film is None:
        raise BadInput(f"--film-seconds {film_seconds:g}: it belongs to a film. Say --film F.mp4 too.")


def _places(output: str | None, handout: str | None, film: str | None, stills: str | None) -> Iterator[str]:
    """What will be written, as far as its place is known before it is made."""
    yield from (path for path in (output, film) if path is not None)
    if handout is not None:
        yield f"{handout[:-4]}-student.pdf"
    if film is not None:
        yield _subtitles(film)
    if stills is not None and not Path(stills).is_dir():
        yield stills


def _subtitles(film: str) -> str:
    return f"{film[:-4]}.vtt"


def _page(
    path: str, study: Study, course: Course, lesson: LessonFile | None, edition: str, title: str, report: Report
) -> _Made:
    from railwright.jobs import lesson_files

    made = lesson_files(
        study, course, edition="teacher" if edition == "teacher" else "student", lesson=lesson, report=report
    )
    (content,) = made.values()
    return _Made(
        files={path: content},
        told={"file": path, "edition": edition, "bytes": len(content)},
        sentence=(
            f"{path}: lesson of {title}, {edition}'s edition, {len(content) / 1e6:.1f} MB. "
            "Open it in any browser; it needs no network."
        ),
    )


def _handouts(path: str, study: Study, course: Course, lesson: LessonFile | None, report: Report) -> _Made:
    from railwright.jobs import handout_files

    made = handout_files(study, course, lesson=lesson, report=report)
    files = {f"{path[:-4]}-{name}": content for name, content in made.items()}
    return _Made(
        files=files,
        told={"handouts": list(files)},
        sentence=f"{', '.join(files)}: hand-outs on {course.paper} paper. Only the teacher's have answers.",
    )


def _film(path: str, study: Study, course: Course, seconds: float | None, report: Report) -> _Made:
    from railwright.cli.failures import BadInput
    from railwright.documents.film import TooShort, film

    try:
        made = film(study, course, seconds=seconds, report=report)
    except TooShort as refused:
        raise BadInput(f"--film-seconds {seconds:g}: {refused}") from refused
    subtitles = _subtitles(path)
    return _Made(
        files={path: made.video, subtitles: made.subtitles.encode("utf-8")},
        told={"film": path, "subtitles": subtitles, "seconds": made.seconds},
        sentence=f"{path}: film of {made.seconds:.0f} s, 1920 x 1080, no sound; {subtitles}: its subtitles.",
    )


def _stills(path: str, study: Study, course: Course, report: Report) -> _Made:
    from railwright.documents.film import earlier_stills
    from railwright.jobs import stills_files

    folder = Path(path)
    made = stills_files(study, course, report=report)
    return _Made(
        files={str(folder / name): content for name, content in made.items()},
        told={"stills": path, "count": len(made) - 1},
        sentence=f"{path}: {len(made) - 1} stills, 1920 x 1080, and stills.md with what each shows in words.",
        folders=(folder,),
        obsolete=earlier_stills(folder),
    )
