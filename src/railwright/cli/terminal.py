"""How answers look on a terminal: tables, sentences, and nothing that needs colour to be understood."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table as Grid

    from railwright.course import Course
    from railwright.readings import Reading
    from railwright.study import Study

#: Width of what goes into a file or another program. [characters]
PLAIN_WIDTH = 100
MOST_INTERVALS = 24
AGREED = "0.0 %"
_LOADS = ("load", "load_positive", "load_negative")

#: What most people look for first, in the order in which a lesson meets it; what a supply doesn't have is left out.
KEY_READINGS = (
    "secondary.voltage.open_rms",
    "secondary.voltage.rms",
    "C1.voltage.mean",
    "C1.voltage.ripple_peak_to_peak",
    "C2.voltage.mean",
    "load.voltage.mean",
    "load.voltage.ripple_peak_to_peak",
    "load.voltage.ripple_factor",
    "load.current.mean",
    "load_positive.voltage.mean",
    "load_positive.voltage.ripple_peak_to_peak",
    "load_negative.voltage.mean",
    "load_negative.voltage.ripple_peak_to_peak",
    "load.voltage.no_load_mean",
    "load.voltage.regulation",
    "D1.current.mean",
    "D1.current.peak",
    "D1.reverse_voltage.peak",
    "D1.conduction.angle",
    "C1.current.rms",
    "L1.current.valley",
    "U1.headroom.minimum",
    "U1.power.mean",
    "Z1.current.minimum",
    "secondary.current.rms",
    "secondary.power.apparent",
    "mains.power.real",
    "mains.power.factor",
    "supply.efficiency",
)

CAUTION = (
    "Caution: a mains outlet feeds this supply. Mains voltage can kill, capacitors stay charged after unplugging, "
    "parts run hot. The mains side belongs to qualified people, under local codes."
)


def console() -> Console:
    """Where answers go: as wide as the terminal, or PLAIN_WIDTH where there is none."""
    from rich.console import Console

    width = None if sys.stdout.isatty() else PLAIN_WIDTH
    # No markup, no emoji: a title is a title, whatever brackets or colons are in it.
    return Console(width=width, highlight=False, markup=False, emoji=False, legacy_windows=False)


def show_study(
    study: Study, names: Sequence[str], *, course: Course | None = None, letters: Mapping[str, str] | None = None
) -> None:
    """A solved supply: what it is, its readings by hand and computed, who conducts when, and the proof.

    With names of readings only those are shown, each with every formula that applies. With a course the words and the
    decimal sign are its own, and `letters` stand before what is reckoned by hand.
    """
    screen = console()
    supply = study.supply
    say = _as_it_stands if course is None else course.say
    if study.title:
        screen.print(study.title, style="bold")
    if course is not None:
        screen.print(say(f"Course: {course.title or course.words.upper()}."))
    screen.print(say(f"Model: {study.model}. EMF: {_emf(study)}."))
    for note in dict.fromkeys((*supply.notes, *study.notes)):
        screen.print(say(f"Note: {note}"))
    for fault in supply.faults:
        screen.print(f"Fault: {fault.words}, an edit of the {fault.edits}.")
    screen.print()
    if names:
        readings = {name: study.readings.ask(name) for name in names}
        screen.print(_three_columns(readings, every_formula=True, say=say, letters=letters or {}))
        return
    present = _key_readings(study)
    screen.print(_three_columns(present, every_formula=False, say=say, letters=letters or {}))
    rest = len(study.readings) - len(present)
    if rest > 0:
        screen.print()
        screen.print(f"{rest} more readings: ask for them by name, or for all with --json.", style="dim")
    screen.print()
    for line in conduction_lines(study):
        screen.print(say(line))
    screen.print()
    screen.print(proof_line(study))
    if supply.mains.source == "outlet":
        screen.print(say(CAUTION))


def _as_it_stands(text: str) -> str:
    return text


def _key_readings(study: Study) -> dict[str, Reading]:
    present = {name: study.readings[name] for name in KEY_READINGS if name in study.readings}
    for name in [name for name in present if name.startswith(("C1.voltage.", "C2.voltage."))]:
        at_loads = [present.get(f"{load}.{name.partition('.')[2]}") for load in _LOADS]
        # A reservoir straight across a load would say everything twice.
        if any(at_load is not None and _same(at_load.value, present[name].value) for at_load in at_loads):
            del present[name]
    return present


def _same(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and math.isclose(abs(one), abs(other), rel_tol=1e-6)


def _emf(study: Study) -> str:
    return ", ".join(f"{place} {quantity(value, 'V')} RMS" for place, value in study.emf.items())


def quantity(value: float | None, unit: str, decimal: str = ".") -> str:
    """A value as the trade writes it; a dash where there is none."""
    from railwright.quantities import format_quantity

    return "–" if value is None else format_quantity(value, unit, decimal=decimal)


def difference(value: float | None) -> str:
    """How far by hand is off, in percent of the computed value."""
    if value is None:
        return "–"
    percent = 100.0 * value
    if abs(percent) < 0.05:
        return AGREED
    return f"{percent:+.1f} %" if abs(percent) < 1000.0 else f"{percent:+.0f} %"


def _three_columns(
    readings: Mapping[str, Reading], *, every_formula: bool, say: Callable[[str], str], letters: Mapping[str, str]
) -> Grid:
    from rich.table import Table as Grid
    from rich.text import Text

    grid = Grid(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    grid.add_column("reading", no_wrap=True)
    for name in ("by hand", "computed", "difference"):
        grid.add_column(name, justify="right", no_wrap=True)
    grid.add_column("formula", overflow="fold")
    explained: list[tuple[str, str]] = []
    for name, reading in readings.items():
        shown = reading.hand if every_formula else reading.hand[:1]
        if not shown:
            grid.add_row(Text(name), "", say(quantity(reading.value, reading.unit)), "", "")
        for hand in shown:
            first = hand is shown[0]
            letter = f"{letters[name]} = " if name in letters and hand.value >= 0.0 else ""
            grid.add_row(
                Text(name if first else ""),
                letter + say(quantity(hand.value, reading.unit)),
                say(quantity(reading.value, reading.unit)) if first else "",
                say(difference(hand.difference)),
                Text(hand.formula if hand.valid else f"{hand.formula} (beyond its range)"),
            )
        sentence = reading.why if reading.value is not None else say(reading.reason)
        agree = bool(shown) and difference(shown[0].difference) == AGREED
        if sentence and (every_formula or not agree):
            explained.append((name, sentence))
    return _with_reasons(grid, explained)


def _with_reasons(grid: Grid, explained: Sequence[tuple[str, str]]) -> Grid:
    from rich.table import Table as Grid
    from rich.text import Text

    whole = Grid.grid()
    whole.add_row(grid)
    if explained:
        why = Grid(box=None, padding=(0, 2, 0, 0), pad_edge=False)
        why.add_column("why", overflow="fold", min_width=20)
        why.add_column("")
        for name, sentence in explained:
            why.add_row(Text(name), Text(sentence))
        whole.add_row("")
        whole.add_row(why)
    return whole


def conduction_lines(study: Study) -> list[str]:
    """One sentence for each conduction interval: "61.2° to 95°: D1 and D4 conduct, D2 and D3 block up to 12 V"."""
    lines = []
    for interval in study.conduction[:MOST_INTERVALS]:
        span = f"{interval.start:.1f}° to {interval.end:.1f}°"
        clauses = [_conducting(interval.on), *_blocking(interval.blocking)]
        clauses += [f"{block} is {_STATES.get(state, state)}" for block, state in interval.states.items()]
        lines.append(f"{span}: {', '.join(clauses)}")
    left_out = len(study.conduction) - MOST_INTERVALS
    if left_out > 0:
        lines.append(f"and {left_out} intervals more: --json has all.")
    return lines


_STATES = {"dropout": "in dropout", "limiting": "limiting its current"}


def _conducting(diodes: Sequence[str]) -> str:
    if not diodes:
        return "no diode conducts"
    return f"{listed(diodes)} conduct{'s' if len(diodes) == 1 else ''}"


def _blocking(blocking: Mapping[str, float]) -> Iterable[str]:
    by_size: dict[str, list[str]] = {}
    for diode, voltage in blocking.items():
        # A diode that waits without reverse voltage isn't worth a clause.
        if voltage > 0.0:
            by_size.setdefault(quantity(voltage, "V"), []).append(diode)
    for size, diodes in by_size.items():
        yield f"{listed(diodes)} block{'s' if len(diodes) == 1 else ''} up to {size}"


def listed(words: Sequence[str]) -> str:
    """Words as a sentence has them: "D1, D2 and D3"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def proof_line(study: Study) -> str:
    """The proof in plain words, with the largest of its six balances."""
    worst = max(study.proof.to_json().values())
    within = f"within {worst:.0e}" if worst > 0.0 else "exactly"
    return f"Proved {within}: power, charge, flux and node currents balance, periods repeat, diodes obey."


def show_columns(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """A plain table with numbers to the right."""
    from rich.table import Table as Grid

    grid = Grid(box=None, padding=(0, 2, 0, 0), pad_edge=False)
    for heading in headings:
        grid.add_column(heading, justify="right", overflow="fold")
    for row in rows:
        grid.add_row(*row)
    console().print(grid)
