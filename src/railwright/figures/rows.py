"""Which waveforms explain a supply: the rows of its figure, as data, before anything is drawn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

import numpy as np

from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from railwright.study import Study

    Values: TypeAlias = NDArray[np.float64]

__all__ = [
    "Curve", "Dimension", "Note", "Row", "mains_name", "mains_periods", "pattern_name", "place_name", "rows_of", "wave",
]  # fmt: skip

# Okabe and Ito's colours, for eyes of every kind (Color Universal Design, https://jfly.uni-koeln.de/color/).
SECONDARY = "#0072B2"
LOAD = "#D55E00"
CURRENT = "#009E73"
BY_HAND = "#CC79A7"
SECOND_LOAD = "#56B4E9"
PATH = "#E69F00"

SOLID: tuple[float, ...] = ()
DASHED = (9.0, 5.0)
DOTTED = (2.0, 4.0)
DASH_DOTTED = (11.0, 4.0, 2.0, 4.0)
FINE = (5.0, 4.0)
_DASHES: tuple[tuple[float, ...], ...] = (SOLID, DASHED, DOTTED, DASH_DOTTED)

DIGITS = 3
#: Below this share of the mean a ripple can't be read off the whole curve and gets its own row. A choice, no source.
MAGNIFY_BELOW = 0.15
#: Below this share of the mean there is no ripple to draw, only rounding.
_NO_RIPPLE = 1e-4
_NO_CURRENT = 1e-9  # [A] below it a current is rounding; leakage of a silicon diode is more (from memory)
_MOST_CURVES = 4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curve:
    """One line of a row."""

    reading: str  # id without its measure: "load.voltage"; "" for a curve that is made from another
    label: str
    degrees: Values
    values: Values  # [unit of the row, before its factor]
    colour: str
    dash: tuple[float, ...] = SOLID
    width: float = 2.4  # [px]
    behind: bool = False
    compared: bool = False  # belongs to a second study


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A distance between two values, drawn with extension lines, arrows and its value."""

    kind: Literal["drop", "ripple"]
    high: float
    low: float
    high_at: float  # [deg] where the upper value occurs
    low_at: float  # [deg]
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A word at one point of a curve."""

    degrees: float
    value: float
    label: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Row:
    """One pair of axes."""

    key: str
    title: str
    unit: str  # SI
    curves: tuple[Curve, ...]
    dimensions: tuple[Dimension, ...] = ()
    notes: tuple[Note, ...] = ()
    weight: float = 1.0  # share of the height
    magnifies: str = ""  # key of the row that this one shows larger
    with_zero: bool = True


# ---------------------------------------------------------------- what a study offers


def mains_periods(study: Study) -> int:
    """How many mains periods the study's period holds (more than one with a pulsed load)."""
    frequency = study.supply.mains.frequency
    return max(1, round(study.period * frequency)) if frequency else 1


def wave(study: Study, reading: str) -> tuple[Values, Values] | None:
    """Degrees and values of a waveform; None if the supply has no such place."""
    try:
        waveform = study.waveform(reading)
    except (LookupError, ValueError):
        return None
    times = np.asarray(waveform.times, dtype=float)
    values = np.asarray(waveform.values, dtype=float)
    if values.size < 2 or not np.isfinite(values).all():
        return None
    return times / study.period * 360.0 * mains_periods(study), values


def reading_value(study: Study, reading: str) -> float | None:
    """Computed value of a reading; None if the supply doesn't have it."""
    known = study.readings.get(reading)
    return None if known is None else known.value


def hand_value(study: Study, reading: str) -> float | None:
    """Best value by hand of a reading; None if no formula applies."""
    known = study.readings.get(reading)
    if known is None or not known.hand:
        return None
    return float(known.hand[0].value)


def pattern_name(names: Sequence[str]) -> str:
    """The diodes of a pattern as one name: "D1 D4"."""
    return " ".join(names)


def designators(study: Study, letter: str) -> tuple[str, ...]:
    """Designators with a letter that have a current waveform, in order of their numbers."""
    found = []
    for reading in study.readings:
        place = reading.split(".", 1)[0]
        if place[:1] == letter and place[1:].isdigit() and place not in found:
            found.append(place)
    return tuple(sorted(found, key=lambda place: int(place[1:])))


def reservoir(study: Study) -> str:
    """The place whose ripple the lesson is about: the first capacitor, or the load where it lies straight across it."""
    supply = study.supply
    circuit = supply.rectifier.circuit
    if circuit in ("full-wave-doubler", "half-wave-doubler", "multiplier"):
        return "load"
    fitted = [section.kind for section in supply.filters if section.fitted]
    regulated = supply.regulator is not None or supply.regulator_positive is not None
    between = regulated or any(kind in ("resistor", "choke") for kind in fitted)
    if between and fitted[:1] == ["capacitor"]:
        return "C1"
    return "load_positive" if supply.is_dual else "load"


# ---------------------------------------------------------------- curves


def _curve(study: Study, reading: str, label: str, colour: str, **style: Any) -> tuple[Curve, ...]:
    found = wave(study, reading)
    if found is None:
        return ()
    return (Curve(reading=reading, label=label, degrees=found[0], values=found[1], colour=colour, **style),)


def place_name(place: str) -> str:
    """A place as it begins a heading: "Load", "C1", "Positive rail"."""
    label = _place_label(place)
    return label[:1].upper() + label[1:]


def mains_name(study: Study) -> str:
    """What feeds the supply, as it begins a heading: "Mains" behind an outlet, "Source" on the bench."""
    return "Mains" if study.supply.mains.source == "outlet" else "Source"


def _place_label(place: str) -> str:
    return {
        "load": "load",
        "load_positive": "positive rail",
        "load_negative": "negative rail",
        "secondary": "secondary",
        "secondary_a": "half a",
        "secondary_b": "half b",
        "rectifier": "rectifier output",
    }.get(place, place)


def _sources(study: Study) -> tuple[Curve, ...]:
    """The alternating voltages that feed the rectifier."""
    circuit = study.supply.rectifier.circuit
    if circuit.startswith("three-phase"):
        curves: tuple[Curve, ...] = ()
        for phase, dash in zip((1, 2, 3), (SOLID, DASHED, DASH_DOTTED), strict=True):
            curves += _curve(study, f"secondary_{phase}.voltage", f"secondary {phase}", SECONDARY, dash=dash)
        return curves
    if circuit in ("centre-tap", "dual-rail"):
        halves = _curve(study, "secondary_a.voltage", "half a to tap", SECONDARY)
        halves += _curve(study, "secondary_b.voltage", "half b to tap", SECONDARY, dash=DASHED)
        if len(halves) == 2:
            return halves
    curves = _curve(study, "secondary.voltage", "secondary", SECONDARY)
    return curves or _curve(study, "mains.voltage", "mains", SECONDARY)


def _envelope(study: Study) -> tuple[Curve, ...]:
    """The rectified source, faintly, behind the voltage that it feeds: what is there before the diode drops."""
    circuit = study.supply.rectifier.circuit
    sources = _sources(study)
    if not sources:
        return ()
    first = sources[0]
    style: dict[str, Any] = {"reading": "", "colour": SECONDARY, "dash": FINE, "width": 1.4, "behind": True}
    if circuit == "half-wave":
        return (replace(first, label="secondary", values=np.maximum(first.values, 0.0), **style),)
    if circuit in ("bridge", "none"):
        return (
            (replace(first, label="|secondary|", values=np.abs(first.values), **style),) if circuit == "bridge" else ()
        )
    if circuit == "centre-tap":
        values = np.max([curve.values for curve in sources], axis=0)
        return (replace(first, label="the higher half", values=np.maximum(values, 0.0), **style),)
    if circuit == "dual-rail":
        values = np.max([curve.values for curve in sources], axis=0)
        upper = replace(first, label="|halves|", values=np.maximum(values, 0.0), **style)
        return (upper, replace(upper, label="", values=-upper.values))
    if circuit == "dual-half-wave":
        return (replace(first, label="secondary", **style),)
    if circuit == "three-phase-half-wave":
        return (replace(first, label="the highest", values=np.max([c.values for c in sources], axis=0), **style),)
    if circuit == "three-phase-bridge":
        stack = np.array([curve.values for curve in sources])
        return (replace(first, label="largest between lines", values=stack.max(0) - stack.min(0), **style),)
    return ()


def sawtooth(*, peak: float, ripple: float, peak_at: float, pulses: int, span: float) -> tuple[Values, Values]:
    """The sawtooth of the handbook: straight down from each peak for a whole recharge period, then up at once.

    Parameters
    ----------
    peak, ripple : float
        [V]
    peak_at : float
        Where the first peak lies. [deg]
    pulses : int
        Recharges per mains period. [-]
    span : float
        Where the figure ends; it begins at 0. [deg]

    Returns
    -------
    tuple of arrays
        Degrees and values of the corners, cut at 0 and at `span`. [deg], [V]
    """
    period = 360.0 / pulses
    first = peak_at - period * np.ceil(peak_at / period)
    corners: list[tuple[float, float]] = []
    for index in range(int(np.ceil((span - first) / period)) + 1):
        start = float(first + index * period)
        begin, end = max(start, 0.0), min(start + period, span)
        if begin >= end:
            continue
        for at in (begin, end):
            corners.append((at, peak - ripple * (at - start) / period))
    return np.array([at for at, _ in corners]), np.array([value for _, value in corners])


def _pulses(study: Study, place: str) -> int:
    """Recharges per mains period of a place, from its ripple frequency, else from the circuit."""
    frequency, mains = reading_value(study, f"{place}.voltage.ripple_frequency"), study.supply.mains.frequency
    if frequency and mains:
        return max(1, round(frequency / mains))
    return 1 if study.supply.rectifier.circuit in ("half-wave", "dual-half-wave", "half-wave-doubler") else 2


def _by_hand(study: Study, place: str, curve: Curve) -> tuple[Curve, ...]:
    """The handbook's sawtooth over a computed curve, where a formula gave a ripple of a reservoir."""
    supply = study.supply
    fitted = [section.kind for section in supply.filters if section.fitted]
    first = fitted[0] if fitted else ""
    if first != "capacitor" and supply.rectifier.circuit not in (
        "full-wave-doubler",
        "half-wave-doubler",
        "multiplier",
    ):
        return ()
    places = [place]
    if place == "load" and first == "capacitor" and len(fitted) == 1:
        places.append("C1")  # the same two terminals
    ripple = next(filter(None, (hand_value(study, f"{p}.voltage.ripple_peak_to_peak") for p in places)), None)
    if ripple is None or not ripple > 0.0:
        return ()
    index = int(np.argmax(curve.values))
    peak = next(filter(None, (hand_value(study, f"{p}.voltage.peak") for p in places)), None)
    degrees, values = sawtooth(
        peak=float(curve.values[index]) if peak is None else peak,
        ripple=ripple,
        peak_at=float(curve.degrees[index]),
        pulses=_pulses(study, place),
        span=360.0 * mains_periods(study),
    )
    return (
        Curve(
            reading="",
            label="by hand: sawtooth",
            degrees=degrees,
            values=values,
            colour=BY_HAND,
            dash=(7.0, 4.0),
            width=2.0,
        ),
    )


# ---------------------------------------------------------------- dimensions


def _last(where: NDArray[np.bool_]) -> int:
    """Index of the last true: the crest nearest to the right edge, where the dimension stands."""
    return int(np.flatnonzero(where).tolist()[-1])


def _ripple(curve: Curve) -> tuple[Dimension, ...]:
    low, high = float(curve.values.min()), float(curve.values.max())
    if not high - low > _NO_RIPPLE * max(abs(low), abs(high)):
        return ()
    return (
        Dimension(
            kind="ripple",
            high=high,
            low=low,
            high_at=float(curve.degrees[_last(curve.values >= high - 0.004 * (high - low))]),
            low_at=float(curve.degrees[_last(curve.values <= low + 0.004 * (high - low))]),
            label=f"ripple {format_quantity(high - low, 'V', digits=DIGITS)}",
        ),
    )


def _drops(study: Study, envelope: Curve, rectified: Curve) -> tuple[Dimension, ...]:
    """The drop of the diodes at the crest, between the rectified source and what the rectifier gives."""
    # On a flat top, without a load, every point is the highest: the crest is where the source is highest, too.
    source = np.interp(rectified.degrees, envelope.degrees, envelope.values)
    highest = float(rectified.values.max())
    at = int(np.argmax(np.where(rectified.values >= highest - 1e-6 * abs(highest), source, -np.inf)))
    degrees, high = float(rectified.degrees[at]), float(source[at])
    low = float(rectified.values[at])
    if not high - low > 1e-3 * high:
        return ()
    in_series = 2 if study.supply.rectifier.circuit in ("bridge", "three-phase-bridge") else 1
    name = "2 diode drops" if in_series == 2 else "1 diode drop"
    return (
        Dimension(
            kind="drop",
            high=high,
            low=low,
            high_at=degrees,
            low_at=degrees,
            label=f"{name}: {format_quantity(high - low, 'V', digits=DIGITS)}",
        ),
    )


# ---------------------------------------------------------------- rows


def _source_row(study: Study) -> tuple[Row, ...]:
    curves = _sources(study)
    title = "Secondary voltage" if curves and curves[0].reading.startswith("secondary") else "Source voltage"
    return (Row(key="secondary", title=title, unit="V", curves=curves, weight=0.8),) if curves else ()


def _companions(study: Study, place: str) -> tuple[str, tuple[Curve, ...]]:
    """Title of the row of voltages, and what is shown there beside the main one."""
    supply = study.supply
    circuit = supply.rectifier.circuit
    thick, thin = 2.8, 1.8
    if supply.is_dual:
        rails = _curve(study, "load_negative.voltage", "negative rail", LOAD, dash=DASHED, width=thick)
        if place == "C1":
            rails = (
                *_curve(study, "load_positive.voltage", "positive rail", LOAD, dash=DASH_DOTTED, width=thick),
                *rails,
            )
            return "C1 and rail voltages", rails
        return "Rail voltages", rails
    if place == "C1":
        dash = DASHED if supply.regulator is not None else DASH_DOTTED
        return "C1 and load voltage", _curve(study, "load.voltage", "load", LOAD, dash=dash, width=thick)
    if circuit == "half-wave-doubler":
        return "Load voltage", _curve(study, "C1.voltage", "C1", LOAD, dash=DASHED, width=thin)
    if circuit == "full-wave-doubler":
        first = _curve(study, "C1.voltage", "C1", LOAD, dash=DASHED, width=thin)
        return "Load voltage", first + _curve(study, "C2.voltage", "C2", LOAD, dash=DASH_DOTTED, width=thin)
    stages: tuple[Curve, ...] = ()
    if circuit == "multiplier":
        for stage in range(max(1, supply.rectifier.stages - _MOST_CURVES + 1), supply.rectifier.stages):
            style = _DASHES[1 + (stage - 1) % 3]
            stages += _curve(study, f"stage_{stage}.voltage", f"stage {stage}", LOAD, dash=style, width=thin)
    return "Load voltage", stages


def _voltage_rows(study: Study, *, hand: bool) -> tuple[Row, ...]:
    """The voltage that the lesson is about, whole, and magnified if its ripple is small."""
    place = reservoir(study)
    main = _curve(study, f"{place}.voltage", _place_label(place), LOAD, width=2.8)
    if not main:
        return ()
    envelope = _envelope(study)
    title, others = _companions(study, place)
    dimensions: tuple[Dimension, ...] = ()
    rectified = _curve(study, "rectifier.voltage", "rectifier output", SECONDARY)
    chain_starts_with_choke = bool(study.supply.filters) and study.supply.filters[0].kind in ("choke", "resistor")
    if chain_starts_with_choke and rectified:
        envelope = (replace(rectified[0], dash=FINE, width=1.4, behind=True),)
    elif envelope and rectified:
        dimensions += _drops(study, envelope[0], main[0] if study.supply.is_dual else rectified[0])
    saw = _by_hand(study, place, main[0]) if hand else ()
    ripple = _ripple(main[0])
    mean = abs(float(np.mean(main[0].values)))
    magnified: tuple[Row, ...] = ()
    if ripple and ripple[0].high - ripple[0].low < MAGNIFY_BELOW * mean:
        label = main[0].label
        magnified = (
            Row(
                key="magnified",
                title=f"{label[:1].upper()}{label[1:]} voltage" if label != "load" else "Load voltage",
                unit="V",
                curves=(*main, *saw),
                dimensions=ripple,
                weight=0.95,
                magnifies="voltage",
                with_zero=False,
            ),
        )
        saw = ()
    else:
        dimensions += ripple
    # A sawtooth whose corners fall below zero would stretch the axis for nothing: the formula has left its range.
    whole = Row(
        key="voltage",
        title=title,
        unit="V",
        curves=(*envelope, *main, *others, *saw),
        dimensions=dimensions,
        weight=1.25,
    )
    return (whole, *magnified)


def _grouped(study: Study, names: Iterable[str]) -> list[tuple[list[str], Values, Values]]:
    """Parts whose current is the same all the time, together."""
    groups: list[tuple[list[str], Values, Values]] = []
    for name in names:
        found = wave(study, f"{name}.current")
        if found is None:
            continue
        for members, _, values in groups:
            if values.shape == found[1].shape and np.allclose(
                values, found[1], rtol=1e-6, atol=1e-6 * float(np.abs(values).max() or 1.0)
            ):
                members.append(name)
                break
        else:
            groups.append(([name], *found))
    return groups


def _told_apart(
    study: Study, groups: list[tuple[list[str], Values, Values]]
) -> tuple[list[tuple[list[str], Values, Values]], str]:
    """As many curves as dashes can tell apart, and what to say of the others: of a ladder its first and last stage."""
    most = len(_DASHES)
    if len(groups) <= most:
        return groups, ""
    if study.supply.rectifier.circuit == "multiplier":
        half = most // 2
        chosen = [*groups[:half], *groups[-half:]]
        return chosen, f": first and last stage (all {len(groups)} at once could not be told apart)"
    return groups[:most], f" (the first {most} of {len(groups)})"


def _diode_row(study: Study) -> tuple[Row, ...]:
    names = designators(study, "D")
    likewise = ""
    if study.supply.rectifier.circuit == "three-phase-bridge" and len(names) == 6:
        names, likewise = names[::2], ", ".join(names[1::2])
    groups, left_out = _told_apart(study, _grouped(study, names))
    if not groups:
        return ()
    curves = tuple(
        Curve(
            reading=f"{members[0]}.current",
            label=", ".join(members),
            degrees=degrees,
            values=values,
            colour=CURRENT,
            dash=dash,
        )
        for (members, degrees, values), dash in zip(groups, _DASHES, strict=False)
    )
    title = ("Diode current" if len(names) == 1 else "Diode currents") + left_out
    if likewise:
        title += f" ({likewise} likewise)"
    load = "load_positive" if study.supply.is_dual else "load"
    # Without a filter the load's current is the diodes' own and would only cover it.
    if designators(study, "C") or designators(study, "L"):
        curves += _curve(study, f"{load}.current", f"{_place_label(load)} current", LOAD, dash=FINE, width=1.8)
    peak = int(np.argmax(curves[0].values))
    top = float(curves[0].values[peak])
    notes = (
        (
            Note(
                degrees=float(curves[0].degrees[peak]),
                value=top,
                label=f"peak {format_quantity(top, 'A', digits=DIGITS)}",
            ),
        )
        if top > 0
        else ()
    )
    return (Row(key="diodes", title=title, unit="A", curves=curves, notes=notes),)


def _choke_row(study: Study) -> tuple[Row, ...]:
    curves: tuple[Curve, ...] = ()
    for name, dash in zip(designators(study, "L"), _DASHES, strict=False):
        curves += _curve(study, f"{name}.current", name, CURRENT, dash=dash)
    title = "Choke current" if len(curves) == 1 else "Choke currents"
    return (Row(key="choke", title=title, unit="A", curves=curves, weight=0.8),) if curves else ()


def _capacitor_row(study: Study) -> tuple[Row, ...]:
    names = designators(study, "C")
    # First and last of a chain: those between hardly differ, and would hide one another.
    shown = names if len(names) <= 2 else (names[0], names[-1])
    curves: tuple[Curve, ...] = ()
    for name, dash in zip(shown, _DASHES, strict=False):
        curves += _curve(study, f"{name}.current", name, CURRENT, dash=dash)
    title = "Capacitor current" if len(curves) == 1 else "Capacitor currents"
    if len(names) > len(shown):
        title += f": first and last of {len(names)}"
    return (Row(key="capacitor", title=title, unit="A", curves=curves, weight=0.8),) if curves else ()


def _load_current_row(study: Study) -> tuple[Row, ...]:
    curves: tuple[Curve, ...] = ()
    for place, dash in (("load", SOLID), ("load_positive", SOLID), ("load_negative", DASHED)):
        curves += _curve(study, f"{place}.current", _place_label(place), LOAD, dash=dash)
    return (Row(key="load_current", title="Load current", unit="A", curves=curves, weight=0.7),) if curves else ()


def _flows(row: Row) -> bool:
    """Whether there is anything to see: a row of currents that are all zero only takes room from the others."""
    largest = max(float(np.abs(curve.values).max()) for curve in row.curves)
    return row.unit != "A" or largest > _NO_CURRENT


def rows_of(study: Study, rows: Sequence[str] | None = None, *, hand: bool = True) -> tuple[Row, ...]:
    """The rows that explain a study, chosen by its circuit, or those that are named.

    Parameters
    ----------
    study : Study
    rows : sequence of str, optional
        Of ``secondary``, ``voltage``, ``magnified``, ``diodes``, ``choke``, ``capacitor``, ``load_current``.
        One that the supply doesn't have is left out.
    hand : bool
        Whether the handbook's sawtooth is shown where there is one.

    Raises
    ------
    ValueError
        If a row is named that doesn't exist.
    """
    offered = {
        row.key: row
        for row in (
            *_source_row(study),
            *_voltage_rows(study, hand=hand),
            *_choke_row(study),
            *_diode_row(study),
            *_capacitor_row(study),
            *_load_current_row(study),
        )
    }
    if rows is None:
        wanted: tuple[str, ...] = ("secondary", "voltage", "magnified", "choke", "diodes", "capacitor")
        if "choke" in offered:
            wanted = ("secondary", "voltage", "magnified", "choke", "diodes")
        return tuple(offered[key] for key in wanted if key in offered and _flows(offered[key]))
    allowed = ("secondary", "voltage", "magnified", "diodes", "choke", "capacitor", "load_current")
    for key in rows:
        if key not in allowed:
            raise ValueError(f'There is no row of waveforms called "{key}". Allowed: {", ".join(allowed)}.')
    return tuple(offered[key] for key in rows if key in offered)
