"""`railwright packs`: lesson packs for people who install nothing; a command of the makers, not listed by `--help`."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(hidden=True)
@click.argument("lessons", nargs=-1, required=True, metavar="LESSON...")
@click.option("-o", "output", metavar="DIR", required=True, help="The folder to write to; it is made if need be.")
@click.option(
    "--course",
    "courses",
    metavar="uk|us|F.toml",
    multiple=True,
    default=("uk", "us"),
    show_default=True,
    help="A pack for each. May repeat.",
)
def packs(lessons: tuple[str, ...], output: str, courses: tuple[str, ...]) -> None:
    """Make a pack of every LESSON file for every course: a folder and the same as a ZIP."""
    from railwright.cli.failures import BadInput
    from railwright.cli.options import existing
    from railwright.course import read_course
    from railwright.documents.lesson import is_lesson, read_lesson
    from railwright.documents.pack import pack_files, zipped
    from railwright.jobs import write_atomically
    from railwright.study import solve
    from railwright.supply import read_sheet

    paths = [existing(lesson) for lesson in lessons]
    for path in paths:
        if not is_lesson(path):
            raise BadInput(f'{path}: packs are made of lesson files. A lesson starts with kind = "lesson".')
    known = {name: read_course(name) for name in courses}
    for path in paths:
        lesson = read_lesson(path)
        study = solve(read_sheet(lesson.sheet))
        for name, course in known.items():
            title = f"{path.stem}-{Path(name).stem}"
            files = pack_files(study, course, sheet=lesson.sheet.read_bytes(), lesson=lesson)
            packed = zipped(files, title)
            for inside, content in files.items():
                target = Path(output) / title / inside
                _make_folder(target.parent)
                write_atomically(target, content)
            write_atomically(Path(output) / f"{title}.zip", packed)
            click.echo(f"{Path(output) / title}.zip: {len(files)} files, {len(packed) / 1e6:.1f} MB.")


def _make_folder(folder: Path) -> None:
    from railwright.jobs import CannotWrite

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise CannotWrite(folder, f"the system says: {reason}", "Name another folder.") from error
