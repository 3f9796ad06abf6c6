"""What a worker makes: the house's jobs, and the working and the tables that the command line writes."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Final

from railwright.web.answering import guarded
from railwright.web.courses import course_of, course_text

_FORMS: Final = ("svg", "png", "pdf")
#: What a table shows where nobody said what.
_USUAL_READINGS: Final = ("load.voltage.mean", "load.voltage.ripple_peak_to_peak", "load.current.mean")
_POINTS: Final = 11


def produce(asked: Mapping[str, Any], report: Callable[[float, str], None]) -> dict[str, bytes]:
    """Make one product: contents by file name.

    Raises
    ------
    Refused
        For what is wrong with the sheet, the course or the circuit, and for an extra that isn't installed.
    """
    made: dict[str, Any] = guarded(lambda given: _made(given, report), asked)
    begin = _file_name(asked.get("name", ""))
    return {f"{begin}-{name}" if begin else name: content for name, content in made.items()}


def _file_name(title: str) -> str:
    """A title as the beginning of a file name: letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", title.casefold()).strip("-")[:40].strip("-")


def _made(asked: Mapping[str, Any], report: Callable[[float, str], None]) -> dict[str, Any]:
    options = dict(asked.get("options", {}))
    product = asked["product"]
    if product == "working":
        return _working(asked, options.get("writing", "html"), report)
    if product == "table":
        return _table(asked, options, report)
    from railwright import jobs

    wanted = {
        "lesson": ("edition",), "figure": ("kind", "form", "copier"),
    }.get(product, ())  # fmt: skip
    chosen = {name: options[name] for name in wanted if name in options}
    if product == "figure":
        course = course_of(asked["course"])
        chosen |= {"standard": course.drawing, "convention": course.current_direction}
    with tempfile.TemporaryDirectory(prefix="railwright-") as folder:
        # A course of the page's own becomes a file of ours: no path comes from the page.
        course_name = asked["course"]["profile"]
        if set(asked["course"]) != {"profile"}:
            path = Path(folder) / "my-course.toml"
            path.write_text(course_text(asked["course"]), encoding="utf-8")
            course_name = str(path)
        return _as_refusals(
            lambda: dict(
                jobs.make(
                    product, asked["sheet"], course=course_name, model=asked["model"], report=report, **chosen
                )
            )
        )


def _as_refusals(make: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    from railwright.figures.drawing import NotDrawn
    from railwright.web.answering import Refused

    try:
        return make()
    except NotDrawn as refused:
        raise Refused(str(refused), "not possible") from None


def _working(asked: Mapping[str, Any], writing: str, report: Callable[[float, str], None]) -> dict[str, Any]:
    from railwright.documents import work
    from railwright.documents.working_html import in_html
    from railwright.documents.working_latex import in_latex
    from railwright.documents.working_markdown import in_markdown
    from railwright.study import solve
    from railwright.supply import read_text

    report(0.0, "solving the circuit")
    study = solve(read_text(asked["sheet"]), asked["model"])
    report(0.3, "working by hand")
    working = work(study, course_of(asked["course"]), derivations=True)
    report(0.8, "setting the page")
    text = {"html": in_html, "md": in_markdown, "tex": in_latex}[writing](working)
    return {f"working.{writing}": text.encode("utf-8")}


def _table(
    asked: Mapping[str, Any], options: Mapping[str, Any], report: Callable[[float, str], None]
) -> dict[str, Any]:
    from railwright.jobs import table_figure
    from railwright.quantities import read_quantity
    from railwright.readings import UnknownReading, define
    from railwright.supply import read_text
    from railwright.variation.keys import CannotVary, varied_key
    from railwright.variation.table import evenly_spaced, tabulate
    from railwright.web.answering import Refused
    from railwright.web.typed import Wanted, shown_unit, typed

    supply = read_text(asked["sheet"])
    decimal = asked["course"].get("decimal", ".")
    try:
        over = varied_key(supply, options.get("over", "load.resistance"))
        names = tuple(options.get("readings") or _USUAL_READINGS)
        for name in names:
            define(name)
    except (CannotVary, UnknownReading) as error:
        raise Refused(str(error), "not possible") from None
    ends = []
    for name in ("from", "to"):
        unit = "-" if over.unit == "1" else over.unit
        wanted = Wanted(key=over.path, unit=unit, shown=shown_unit(unit))
        ends.append(read_quantity(typed(options.get(name, ""), wanted, decimal=decimal), unit).value)
    points = options.get("points", _POINTS)
    report(0.0, "solving")
    table = tabulate(
        supply, over=over, values=evenly_spaced(ends[0], ends[1], points), readings=names, model=asked["model"],
        progress=lambda count: report(count / points, f"solved {count} of {points}"),
    )  # fmt: skip
    files: dict[str, Any] = {"table.csv": table.to_csv().encode("utf-8")}
    report(0.95, "drawing")
    files["table.svg"] = table_figure(table, title=supply.title).encode("utf-8")
    return files
