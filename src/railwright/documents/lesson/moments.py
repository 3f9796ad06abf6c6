"""The moments of a period: stretches in which the current takes one way, each with its ribbon and its caption."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from railwright.course import Course
from railwright.documents.lesson.neighbours import Array, Neighbourhood, Sampled
from railwright.figures import caption_at, why_not
from railwright.figures.caption import interval_at
from railwright.figures.path import ConductionPath, conduction_path
from railwright.figures.schematic import schematic
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.figures.drawing import Drawing
    from railwright.study import Study

#: Share of the largest current at an instant below which a part counts as idle: as the ribbon draws it.
IDLE = 0.005
#: More ways than that nobody tells apart; a way beyond them is shown by the nearest.
MOST_WAYS = 36
DIGITS = 3

_AMOUNT = r"[\d.,]+ [mµn]?[AV]"
_SHARE = re.compile(
    rf"(?P<name>\b[CDRLZU]\d+|\b[ab]|the tap|the winding|the (?:positive |negative )?load) \((?P<amount>{_AMOUNT})\)"
)
_BLOCKS = re.compile(rf"(?P<name>\bD\d+) blocks (?P<amount>{_AMOUNT})")
_SOURCE = re.compile(rf"(?P<ends>(?:\b[ab]|[Tt]he tap) is) (?P<amount>{_AMOUNT}) above (?P<below>[ab]\b|the tap)")
_PLACES = {
    "the load": "load", "the positive load": "load_positive", "the negative load": "load_negative", "the tap": "tap",
    "the winding": "secondary", "a": "secondary", "b": "secondary",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of the current: its ribbon, its caption with places for live values, why other diodes don't conduct."""

    degrees: float  # the instant that it was drawn at [deg]
    path: ConductionPath | None
    caption: str  # "{i:C1}" stands for the current of C1, "{v:D2}" for the voltage of D2
    is_live: bool  # False: the caption's numbers are those of `degrees`
    why_not: tuple[str, ...]
    on: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """The drawing, the ways that occur on it, and which way is taken when."""

    drawing: Drawing | None
    ways: tuple[Way, ...]
    coarse: tuple[tuple[tuple[int, int], ...], ...]  # per neighbour: (first sample, way)
    fine: tuple[tuple[int, int], ...]


def moments(hood: Neighbourhood, course: Course) -> Moments:
    """The moments of a study and of its neighbours."""
    study = hood.study
    drawing = drawn(study, course)
    known: dict[tuple[int, ...], int] = {}
    shown_at: list[tuple[int, Study, float]] = []  # longest run, where and when

    def runs(one: Study, samples: Sampled, own: bool) -> tuple[tuple[int, int], ...]:
        found: list[tuple[int, int]] = []
        for run in runs_of(one, hood.waves, samples, drawing):
            length = 100000 * own + run.end - run.start
            if run.key not in known:
                if len(known) >= MOST_WAYS:
                    known[run.key] = _nearest(run.key, known)
                else:
                    known[run.key] = len(shown_at)
                    shown_at.append((length, one, run.degrees))
            way = known[run.key]
            if length > shown_at[way][0]:
                shown_at[way] = (length, one, run.degrees)
            found.append((run.start, way))
        return tuple(found)

    fine = runs(study, hood.fine, True)
    coarse = []
    for one, samples in zip(hood.studies, hood.samples, strict=True):
        coarse.append(() if one is None or samples is None else runs(one, samples, False))
    ways = tuple(way_at(one, drawing, middle, course) for _, one, middle in shown_at)
    return Moments(drawing=drawing, ways=ways, coarse=tuple(coarse), fine=fine)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Samples in a row in which the current takes one way; the key tells that way from others."""

    start: int  # first sample
    end: int  # the sample after the last
    key: tuple[int, ...]  # +1, 0, -1 of every current and source
    degrees: float  # its middle [deg]


def runs_of(study: Study, waves: Sequence[str], samples: Sampled, drawing: Drawing | None) -> tuple[Run, ...]:
    """The runs of a period, in order; `waves` names the rows of `samples`."""
    carriers = [
        name for name in waves
        if name.endswith(".current") and (drawing is None or name.removesuffix(".current") in drawing.parts)
    ]  # fmt: skip
    sources = [name for name in waves if name.startswith("secondary") and name.endswith(".voltage")]
    rows = [waves.index(name) for name in carriers]
    # One source tells the half-cycle; the other half of a tapped winding is its mirror.
    source_rows = [waves.index(name) for name in sources[: max(1, len(sources) - 1)]]
    signs = _signs(samples.values[rows], samples.values[source_rows])
    edges = [0, *(np.flatnonzero(np.any(signs[:, 1:] != signs[:, :-1], axis=0)) + 1), signs.shape[1]]
    degrees_each = 360.0 * study.network.mains_periods / (signs.shape[1] - 1)
    return tuple(
        Run(
            start=int(start), end=int(end), key=tuple(int(sign) for sign in signs[:, start]),
            degrees=float(start + end - 1) / 2 * degrees_each,
        )
        for start, end in zip(edges, edges[1:], strict=False)
    )  # fmt: skip


def _signs(currents: Array, sources: Array) -> Array:
    """+1, 0, -1 of every current and source at every sample; what is small beside the largest is 0."""
    largest = np.abs(currents).max(axis=0, initial=1e-9)
    flowing = np.where(np.abs(currents) < IDLE * largest, 0.0, np.sign(currents))
    highest = np.abs(sources).max(initial=1e-9)
    # Near its zero a source takes the sign that it is about to have.
    return np.vstack([flowing, np.where(sources >= -1e-9 * highest, 1.0, -1.0)])


def _nearest(key: Sequence[int], known: Mapping[tuple[int, ...], int]) -> int:
    return known[min(known, key=lambda other: sum(abs(a - b) for a, b in zip(key, other, strict=True)))]


def drawn(study: Study, course: Course) -> Drawing | None:
    """The circuit that the ways are laid on; None where there is no drawing of it."""
    from railwright.figures.drawing import NotDrawn

    try:
        return schematic(study.supply, standard=course.drawing, form="diamond")
    except NotDrawn:
        return None


def way_at(study: Study, drawing: Drawing | None, degrees: float, course: Course) -> Way:
    """The way that the current takes at an instant. [deg]"""
    interval = interval_at(study, degrees)
    voltages = study.voltages_at(degrees)
    path = None
    if drawing is not None:
        from railwright.figures.wire_flow import Unbalanced

        blocking = {} if interval is None else {
            name: max(0.0, -voltages.get(name, 0.0)) for name in interval.blocking
        }  # fmt: skip
        try:
            path = conduction_path(
                drawing, study.currents_at(degrees), blocking=blocking, convention=course.current_direction
            )
        except Unbalanced:
            path = None
    words, is_live = _live(study, degrees, caption_at(study, degrees, course.current_direction))
    return Way(
        degrees=degrees,
        path=path,
        caption=course.say(words),
        is_live=is_live,
        why_not=tuple(course.say(sentence) for sentence in why_not(study, degrees)),
        on=() if interval is None else interval.on,
    )


def _live(study: Study, degrees: float, words: str) -> tuple[str, bool]:
    """The caption with places instead of numbers; the caption itself if a number in it isn't one that the page has."""
    currents, voltages = study.currents_at(degrees), study.voltages_at(degrees)

    def is_same(amount: str, value: float | None, unit: str) -> bool:
        return value is not None and format_quantity(abs(value), unit, digits=DIGITS) == amount

    def share(match: re.Match[str]) -> str:
        name = _PLACES.get(match["name"], match["name"])
        name = f"{name}.input" if name[0] == "U" else name
        fits = is_same(match["amount"], currents.get(name), "A")
        return f"{match['name']} ({{i:{name}}})" if fits else match[0]

    def blocks(match: re.Match[str]) -> str:
        fits = is_same(match["amount"], voltages.get(match["name"]), "V")
        return f"{match['name']} blocks {{v:{match['name']}}}" if fits else match[0]

    def source(match: re.Match[str]) -> str:
        tapped = "tap" in match[0].lower()
        half = "secondary_a" if "a is" in match[0] or match["below"] == "a" else "secondary_b"
        name = half if tapped else "secondary"
        fits = is_same(match["amount"], voltages.get(name), "V")
        return match[0].replace(match["amount"], f"{{v:{name}}}") if fits else match[0]

    text = _SOURCE.sub(source, _BLOCKS.sub(blocks, _SHARE.sub(share, words)))
    # "0 V" is also the name of a node.
    if re.search(_AMOUNT, text.replace("at 0 V", "")):
        return f"At {degrees:.0f}°: {words}", False
    return text, True
