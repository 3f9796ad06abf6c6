"""Turns each section of a sheet into its values, with the checks that need that section alone."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction
from typing import Any, Final, Literal, cast

from railwright.quantities import QuantityError, Tolerance, format_quantity, read_span
from railwright.supply.cells import Reading, Table
from railwright.supply.errors import listed, quoted
from railwright.supply.keys import (
    AMBIGUOUS_CIRCUITS,
    PUMP_CIRCUITS,
    STAGE_CIRCUITS,
    TAPPED_CIRCUITS,
    THREE_PHASE_CIRCUITS,
)
from railwright.supply.locate import Path
from railwright.supply.model import (
    PEAK_OVER_RMS,
    Capacitor,
    Circuit,
    Conditions,
    Diode,
    DiodePoint,
    Extra,
    FilterKind,
    FilterSection,
    Fuse,
    Harmonic,
    Load,
    LoadKind,
    Mains,
    Margins,
    Probe,
    Pulse,
    Rail,
    Rectifier,
    Regulator,
    Source,
    Transformer,
    Waveform,
    Winding,
)

NO_TOLERANCE: Final = Tolerance(minus=0.0, plus=0.0)
MAINS_TOLERANCE: Final = Tolerance(minus=0.10, plus=0.10)
#: What a part's value may stray by if nothing is said: common practice, no source.
PART_TOLERANCES: Final = {
    "capacitor": Tolerance(minus=0.20, plus=0.20),
    "resistor": Tolerance(minus=0.05, plus=0.05),
    "bleeder": Tolerance(minus=0.05, plus=0.05),
    "choke": NO_TOLERANCE,
}
#: Two figures for the same thing that lie further apart than this are worth a warning (as agreed for the sheet).
WARNING_DISTANCE: Final = 0.10
COPPER_TEMPERATURE_COEFFICIENT: Final = 0.00393  # [1/K] at 20 °C, annealed copper, IEC 60028 (from memory)
RESISTANCE_TEMPERATURE: Final = 20.0  # [°C] at which a sheet states resistances
MOST_PERIODS: Final = 100  # p x q of a pulse period of p/q mains periods
EXTRA_UNITS: Final = {"capacitor": "F", "resistor": "ohm", "choke": "H"}


# ------------------------------------------------------------------------------------------------------ the mains


def read_mains(table: Table) -> Mains:
    """`[mains]`, or the keys of a `source` element."""
    waveform = cast(Waveform, table.choice("waveform", "sine"))
    phases = table.count("phases", 1)
    if phases == 2:
        table.fault("phases", "2 is no number of phases here.", allowed="1, 3", remedy="Write 1 or 3.")
    kind = table.one_kind("the source")
    stated = table.positive(kind, 1.0) if kind else 1.0
    direct = waveform == "dc"
    frequency: float | None = None
    if not direct:
        frequency = table.positive("frequency", 50.0)
    elif "frequency" in table:
        table.fault("frequency", "a direct voltage has no frequency.", remedy="Take frequency out, or change waveform.")
    if phases == 3 and direct:
        table.fault("waveform", "there is no three-phase direct voltage.", remedy="Write phases = 1.")
    if phases == 3 and kind == "voltage_peak":
        table.fault(
            kind,
            "with phases = 3 a peak could be of line or phase.",
            allowed="voltage",
            remedy="Write voltage, the RMS value from line to line.",
        )
    harmonics = _harmonics(table)
    if harmonics and direct:
        table.fault("harmonics", "a direct voltage has no harmonics.", remedy="Take harmonics out, or change waveform.")
    return Mains(
        voltage=_fundamental(stated, peak=kind == "voltage_peak", waveform=waveform, harmonics=harmonics),
        frequency=frequency,
        waveform=waveform,
        tolerance=table.tolerance("tolerance", MAINS_TOLERANCE, beside=kind),
        phases=3 if phases == 3 else 1,
        source=cast(Source, table.choice("source", "outlet")),
        source_resistance=table.number("source_resistance", 0.0) or 0.0,
        source_inductance=table.number("source_inductance", 0.0) or 0.0,
        harmonics=harmonics,
    )


def _harmonics(table: Table) -> tuple[Harmonic, ...]:
    harmonics: dict[int, Harmonic] = {}
    for path, item in table.items("harmonics"):
        entry = Table(table.reading, path, item, "mains.harmonics")
        entry.check_keys()
        order = entry.count("order", 2, required=True)
        ratio = entry.positive("ratio", 0.0)
        if "phase" not in entry and not entry.wrong:
            entry.fault(
                "",
                "phase is missing: 3 % of the third harmonic makes the peak 3 % lower or 3 % higher, by its phase.",
                remedy="Write phase = 0 or phase = 180, degrees of the harmonic's own sine.",
                given="",
            )
        if order in harmonics and "order" in entry:
            entry.fault("order", f"order {order} stands here twice.", remedy="Keep one of the two.")
        harmonics[order] = Harmonic(order=order, ratio=ratio, phase=entry.number("phase", 0.0) or 0.0)
    return tuple(harmonics.values())


def _fundamental(stated: float, *, peak: bool, waveform: Waveform, harmonics: tuple[Harmonic, ...]) -> float:
    """RMS of the fundamental (of a generator's waveform: of that) from the stated RMS or peak of the whole. [V]"""
    if not peak:
        return stated / math.sqrt(1.0 + sum(harmonic.ratio**2 for harmonic in harmonics))
    if not harmonics:
        return stated / PEAK_OVER_RMS[waveform]
    return stated / _peak_of_unit(waveform, harmonics)


def _peak_of_unit(waveform: Waveform, harmonics: tuple[Harmonic, ...]) -> float:
    """Largest absolute value of the whole EMF when its fundamental (or generator waveform) has an RMS of 1."""

    def value(degrees: float) -> float:
        turn = degrees / 360.0 % 1.0
        if waveform == "square":
            base = 1.0 if turn < 0.5 else -1.0
        elif waveform == "triangle":
            base = PEAK_OVER_RMS["triangle"] * (1.0 - 4.0 * abs((turn + 0.25) % 1.0 - 0.5))
        else:
            base = PEAK_OVER_RMS["sine"] * math.sin(2.0 * math.pi * turn)
        return base + sum(
            math.sqrt(2.0) * harmonic.ratio * math.sin(math.radians(harmonic.order * degrees + harmonic.phase))
            for harmonic in harmonics
        )

    # A coarse look, then the neighbourhood of its largest value narrowed to where floats end.
    step = 0.25
    best = max((step * count for count in range(1440)), key=lambda degrees: abs(value(degrees)))
    while step > 1e-9:
        step /= 4.0
        best = max((best + step * count for count in range(-4, 5)), key=lambda degrees: abs(value(degrees)))
    return abs(value(best))


# ------------------------------------------------------------------------------------------------ the transformer


def read_transformer(table: Table, mains: Mains, conditions: Conditions) -> Transformer:
    """`[transformer]`, with warnings where two of its figures disagree."""
    table.check_keys()
    ratio = table.ratio("turns_ratio")
    secondary_voltage = table.number("secondary_voltage")
    open_voltage = table.number("open_voltage")
    if not table.wrong and not any(name in table for name in ("turns_ratio", "secondary_voltage", "open_voltage")):
        table.fault(
            "",
            "the transformer doesn't say its voltage.",
            allowed="one or more of turns_ratio, secondary_voltage, open_voltage",
            remedy='Write for example secondary_voltage = "12 V".',
            given="",
        )
    if mains.waveform == "dc":
        table.fault("", "a transformer passes no direct voltage.", remedy="Take [transformer] out.", given="")
    if "connection" in table and mains.phases != 3:
        table.fault("connection", "belongs to three phases.", remedy="Take it out, or write phases = 3 in [mains].")
    winding = cast(Winding, table.choice("secondary", "single"))
    if mains.phases == 3 and winding != "single":
        table.fault(
            "secondary", "a three-phase transformer has one section a phase here.", allowed="single",
            remedy="Take secondary out.",
        )  # fmt: skip
    transformer = Transformer(
        turns_ratio=ratio,
        secondary_voltage=secondary_voltage,
        open_voltage=open_voltage,
        secondary=winding,
        rating=table.number("rating"),
        rated_current=table.number("rated_current"),
        regulation=table.number("regulation"),
        regulation_split=_or(table.number("regulation_split"), 0.5),
        primary_resistance=table.number("primary_resistance"),
        secondary_resistance=table.number("secondary_resistance"),
        leakage_inductance=table.number("leakage_inductance", 0.0) or 0.0,
        magnetizing_inductance=table.number("magnetizing_inductance"),
        saturation_current=table.number("saturation_current"),
        saturated_inductance=table.number("saturated_inductance"),
        connection=table.choice("connection", "star-star"),
    )
    _check_core(table, transformer)
    _warn_of_disagreement(table, transformer, mains, conditions)
    return transformer


def _check_core(table: Table, transformer: Transformer) -> None:
    pair = ("saturation_current", "saturated_inductance")
    for name, other in (pair, pair[::-1]):
        if name in table and other not in table:
            table.fault(name, f"{name} and {other} go together.", remedy=f"Add {other}, or take {name} out.")
    if all(name in table for name in pair) and "magnetizing_inductance" not in table:
        table.fault(
            "saturation_current",
            "an ideal core doesn't saturate.",
            remedy="Add magnetizing_inductance, the slope below the knee.",
        )
    unsaturated, saturated = transformer.magnetizing_inductance, transformer.saturated_inductance
    if unsaturated is not None and saturated is not None and saturated >= unsaturated:
        table.fault(
            "saturated_inductance",
            f"{format_quantity(saturated, 'H')} isn't below magnetizing_inductance.",
            remedy="A saturated core has less inductance: exchange the two?",
        )


def section_count(transformer: Transformer) -> int:
    """Sections of the secondary: one, or two equal ones."""
    return 1 if transformer.secondary == "single" else 2


def _warn_of_disagreement(table: Table, transformer: Transformer, mains: Mains, conditions: Conditions) -> None:
    """Notes, not faults: what is stated in two ways and differs by more than a tenth."""
    note = table.faults.note
    sections = section_count(transformer) * mains.phases
    by_ratio = None
    if transformer.turns_ratio is not None and mains.phases == 1:
        by_ratio = mains.voltage_rms / transformer.turns_ratio
        if transformer.open_voltage is not None and _far(by_ratio, transformer.open_voltage):
            note(
                f"transformer.turns_ratio gives {format_quantity(by_ratio, 'V')} a section, "
                f"open_voltage says {format_quantity(transformer.open_voltage, 'V')}: more than 10 % apart."
            )
    voltage = transformer.secondary_voltage or transformer.open_voltage or by_ratio
    current = transformer.rated_current
    if voltage is None:
        return
    if transformer.rating is not None:
        by_rating = transformer.rating / (sections * voltage)
        if current is not None and _far(by_rating, current):
            note(
                f"transformer.rating means {format_quantity(by_rating, 'A')} a section, "
                f"rated_current says {format_quantity(current, 'A')}: more than 10 % apart; rated_current is used."
            )
        current = current if current is not None else by_rating
    if transformer.regulation is None:
        return
    primary, secondary = transformer.primary_resistance, transformer.secondary_resistance
    if current is None:
        if primary is None and secondary is None:
            note(
                "transformer.regulation is a resistance only together with rating or rated_current, "
                "and neither is stated: the model physical needs one of them."
            )
        return
    if primary is None or secondary is None or mains.phases == 3:
        return
    open_voltage = transformer.open_voltage or by_ratio or voltage * (1.0 + transformer.regulation)
    turns = mains.voltage_rms / open_voltage
    warmth = 1.0 + COPPER_TEMPERATURE_COEFFICIENT * (conditions.transformer_temperature - RESISTANCE_TEMPERATURE)
    # The primary carries the currents of all sections, each over the turns ratio.
    stated = warmth * (secondary + sections * primary / turns / turns)
    derived = transformer.regulation * voltage / current
    if math.isfinite(stated) and _far(stated, derived):
        note(
            f"transformer.regulation means {format_quantity(derived, 'ohm')} a section, the stated resistances "
            f"{format_quantity(stated, 'ohm')} (both referred to one section, at "
            f"{format_quantity(conditions.transformer_temperature, '°C')}): more than 10 % apart; "
            "the stated resistances are used."
        )


def _far(one: float, other: float) -> bool:
    return abs(one - other) > WARNING_DISTANCE * max(abs(one), abs(other))


def _or(value: float | None, default: float) -> float:
    return default if value is None else value


# -------------------------------------------------------------------------------------------------- the rectifier


def read_rectifier(table: Table, mains: Mains, transformer: Transformer | None) -> Rectifier:
    """`[rectifier]`, checked against mains and winding."""
    word = table.content.get("circuit")
    circuit: Circuit
    if isinstance(word, str) and word in AMBIGUOUS_CIRCUITS:
        first, second = AMBIGUOUS_CIRCUITS[word]
        table.fault(
            "circuit",
            f'"{word}" can mean two circuits.',
            allowed=f"{first}, {second}",
            remedy=f'Write circuit = "{first}" or circuit = "{second}".',
        )
        circuit = "none"
        table.check_keys()
    else:
        circuit = cast(Circuit, table.choice("circuit", "", required=True))
        table.check_keys(kind=circuit, kind_noun=f'the circuit "{circuit}"')
        if circuit:
            _check_winding(table, circuit, mains, transformer)
        else:
            circuit = "none"
    return Rectifier(
        circuit=circuit,
        diode=read_diode(table, "diode"),
        tap=_tap(table, circuit, transformer),
        stages=table.count("stages", 1),
        pump_capacitor=_circuit_capacitor(table, "pump") if circuit in PUMP_CIRCUITS else None,
        stage_capacitor=_circuit_capacitor(table, "stage") if circuit in STAGE_CIRCUITS else None,
    )


def _check_winding(table: Table, circuit: str, mains: Mains, transformer: Transformer | None) -> None:
    if circuit in THREE_PHASE_CIRCUITS and mains.phases != 3:
        table.fault("circuit", f'"{circuit}" needs three phases.', remedy="Write phases = 3 in [mains].")
    if circuit not in THREE_PHASE_CIRCUITS and mains.phases == 3:
        table.fault(
            "circuit", f'"{circuit}" is fed by one phase, and [mains] says phases = 3.',
            allowed=listed(THREE_PHASE_CIRCUITS), remedy="Take phases out, or change the circuit.",
        )  # fmt: skip
    if circuit in TAPPED_CIRCUITS and (transformer is None or transformer.secondary != "centre-tapped"):
        table.fault(
            "circuit",
            f'"{circuit}" needs a winding with a centre tap.',
            remedy='Write secondary = "centre-tapped" in [transformer]; the voltages there are of one half.',
        )


def _tap(table: Table, circuit: str, transformer: Transformer | None) -> Literal["common", "unused", "negative"]:
    usual = "unused" if circuit == "bridge" else "common"
    word = cast(Literal["common", "unused", "negative"], table.choice("tap", usual))
    if "tap" not in table:
        return word
    if transformer is None or transformer.secondary != "centre-tapped":
        table.fault("tap", "the winding has no tap.", remedy='Take tap out, or write secondary = "centre-tapped".')
    elif circuit in TAPPED_CIRCUITS and word != "common":
        table.fault("tap", f'in the circuit "{circuit}" the tap is the common lead.', allowed="common")
    elif circuit == "bridge" and word == "common":
        table.fault(
            "tap",
            "a bridge whose tap is the common lead of two rails is the dual-rail circuit.",
            allowed="unused, negative",
            remedy='Write circuit = "dual-rail".',
        )
    return word


def _circuit_capacitor(table: Table, place: Literal["pump", "stage"]) -> Capacitor:
    name = f"{place}_capacitor"
    return Capacitor(
        capacitance=table.positive(name, 1.0),
        esr=table.number(f"{place}_esr"),
        leakage=table.number(f"{place}_leakage"),
        voltage_rating=table.number(f"{place}_voltage_rating"),
        tolerance=table.reading.tolerances.get(".".join(map(str, table.at(name))), PART_TOLERANCES["capacitor"]),
    )


def read_diode(table: Table, name: str) -> Diode:
    """A diode by name or by values; the general silicon one if nothing is said."""
    value = table.content.get(name, "silicon")
    if isinstance(value, str):
        if not value.strip():
            table.fault(name, "the diode has no name.", remedy=f'Write {name} = "silicon", or take it out.')
        return Diode(name=value)
    if not isinstance(value, dict):
        table.fault(
            name,
            f"{quoted(value)} is neither a name nor a table.",
            remedy=f'Write {name} = "1N4001" or {name} = {{ drop = "0.7 V" }}.',
        )
        return Diode(name="silicon")
    entry = Table(table.reading, table.at(name), value, "rectifier.diode")
    entry.check_keys()
    if "points" in entry:
        for other in ("saturation_current", "ideality"):
            if other in entry:
                entry.fault(
                    other, f"points give the law, and so does {other}.", remedy=f"Take points or {other} out."
                )
    return Diode(
        drop=_or(entry.number("drop"), 0.7),
        resistance=entry.number("resistance", 0.0) or 0.0,
        saturation_current=entry.number("saturation_current"),
        ideality=entry.number("ideality"),
        series_resistance=entry.number("series_resistance"),
        junction_temperature=_or(entry.number("junction_temperature"), 25.0),
        leakage=entry.number("leakage"),
        points=_diode_points(entry),
        reverse_voltage_rating=entry.number("reverse_voltage_rating"),
        mean_current_rating=entry.number("mean_current_rating"),
        surge_rating=entry.number("surge_rating"),
    )


def _diode_points(entry: Table) -> tuple[DiodePoint, ...]:
    points = []
    items = entry.items("points")
    for path, item in items:
        if not isinstance(item, list) or len(item) != 2:
            entry.faults.add(
                path, f"{quoted(item)} is no pair of current and drop.", given=item, remedy='Write ["1 A", "0.96 V"].'
            )
            continue
        current = entry.quantity((*path, 1), item[0], "A", None)
        drop = entry.quantity((*path, 2), item[1], "V", None)
        if current is not None and drop is not None:
            if current.value <= 0.0 or drop.value <= 0.0:
                entry.faults.add(path, "current and drop must be more than zero.", given=item)
            points.append(DiodePoint(current=current.value, drop=drop.value))
    if "points" not in entry or not isinstance(entry.content["points"], list):
        return ()
    if len(items) != 2:
        entry.fault(
            "points", f"the law follows from two points, and here are {len(items)}.",
            remedy=f"Write points = {entry.key('points').example}.",
        )  # fmt: skip
    elif len(points) == 2:
        low, high = sorted(points, key=lambda point: point.current)
        if not (low.current < high.current and low.drop < high.drop):
            entry.fault("points", "the larger current must have the larger drop.", remedy="Check the two pairs.")
        return (low, high)
    return tuple(points)


# ---------------------------------------------------------------------------------------------------- the filter


def read_filter_section(reading: Reading, path: Path, item: object, *, dual: bool) -> FilterSection:
    """One `[[filter]]` table."""
    table = Table(reading, path, item, "filter")
    kind = table.one_kind("the filter part")
    table.check_keys(kind=kind)
    rail = cast(Rail, table.choice("rail", "both"))
    if rail != "both" and not dual:
        table.fault("rail", "this supply has one rail.", allowed="both", remedy="Take rail out.")
    if "esr" in table and "loss_factor" in table:
        table.fault("loss_factor", "esr and loss_factor say the same thing.", remedy="Keep one of the two.")
    if "loss_frequency" in table and "loss_factor" not in table:
        table.fault("loss_frequency", "there is no loss_factor.", remedy="Add loss_factor, or take this out.")
    return FilterSection(
        kind=cast(FilterKind, kind or "capacitor"),
        value=table.positive(kind, 1.0) if kind else 1.0,
        rail=rail,
        esr=table.number("esr"),
        loss_factor=table.number("loss_factor"),
        loss_frequency=_or(table.number("loss_frequency"), 100.0),
        leakage=table.number("leakage"),
        resistance=table.number("resistance", 0.0) or 0.0,
        saturation_current=table.number("saturation_current"),
        voltage_rating=table.number("voltage_rating"),
        ripple_current_rating=table.number("ripple_current_rating"),
        life_rating=table.number("life_rating"),
        temperature_rating=table.number("temperature_rating"),
        tolerance=table.tolerance("tolerance", PART_TOLERANCES.get(kind, NO_TOLERANCE), beside=kind),
        fitted=table.flag("fitted", True),
    )


# ------------------------------------------------------------------------------------------------- the regulators

REGULATOR_RAILS: Final = ("positive", "negative")


def read_regulators(table: Table, *, dual: bool) -> dict[str, Regulator]:
    """`[regulator]` under "", or those of the rails under "positive" and "negative"."""
    rails = [rail for rail in REGULATOR_RAILS if rail in table]
    plain = [name for name in table.content if name not in REGULATOR_RAILS]
    if dual:
        if plain:
            table.check_keys()
            table.fault(
                plain[0],
                "this supply has two rails.",
                allowed="positive, negative",
                remedy="Write [regulator.positive] and [regulator.negative].",
            )
        elif not rails and not table.wrong:
            table.fault("", "the table is empty.", allowed="positive, negative", given="")
        return {
            rail: _regulator(Table(table.reading, table.at(rail), table.content[rail], "regulator")) for rail in rails
        }
    for rail in rails:
        table.fault(rail, "this supply has one rail.", remedy="Write the keys into [regulator] itself.")
    return {"": _regulator(table)} if plain or not rails else {}


def _regulator(table: Table) -> Regulator:
    for rail in REGULATOR_RAILS:
        if rail in table and len(table.path) > 1:
            table.fault(rail, f"{rail} can't stand here.", remedy="Write it directly under [regulator].")
    part = table.text("part") or None
    stated = table.choice("kind", "")
    if "kind" not in table and part is None:
        table.missing("kind")
    # A part's own name tells the kind where the sheet doesn't: the part table's zeners are called so.
    kind = stated or ("zener" if part is not None and "zener" in part.lower() else "series")
    if stated or "kind" not in table:
        table.check_keys(kind=kind, kind_noun=f'a regulator of the kind "{kind}"')
    zener, known = kind == "zener", bool(stated or part)
    return Regulator(
        kind="zener" if zener else "series",
        part=part,
        output=table.number("output", required=known and not zener and part is None),
        dropout=table.number("dropout"),
        quiescent=table.number("quiescent"),
        ripple_rejection=table.number("ripple_rejection"),
        current_limit=table.number("current_limit"),
        input_maximum=table.number("input_maximum"),
        minimum_load=table.number("minimum_load"),
        series_resistor=table.number("series_resistor", required=zener),
        zener_voltage=table.number("zener_voltage", required=zener and part is None),
        zener_resistance=table.number("zener_resistance", 0.0) or 0.0,
        zener_minimum_current=table.number("zener_minimum_current"),
    )


# ------------------------------------------------------------------------------------------------------ the loads

LOAD_PLACES: Final = ("positive", "negative", "across")


def read_loads(table: Table, mains: Mains, *, dual: bool) -> dict[str, Load]:
    """`[load]` under "", or those of the rails under "positive", "negative", "across"."""
    places = [name for name in LOAD_PLACES if name in table]
    plain = [name for name in table.content if name not in LOAD_PLACES]
    loads: dict[str, Load] = {}
    for place in places:
        if not dual:
            table.fault(place, "this supply has one rail.", remedy="Write the keys into [load] itself.")
            continue
        loads[place] = read_load(Table(table.reading, table.at(place), table.content[place], "load"), mains)
    if plain or not places:
        single = read_load(table, mains)
        if not dual:
            return {"": single}
        for rail in ("positive", "negative"):
            if rail in loads:
                table.fault(
                    rail,
                    "plain [load] already puts one such load on each rail.",
                    remedy="Write both loads out, [load.positive] and [load.negative], or only the plain one.",
                )
            loads[rail] = single
    return loads


def read_load(table: Table, mains: Mains) -> Load:
    """One load."""
    for place in LOAD_PLACES:
        if place in table and len(table.path) > 1:
            table.fault(place, f"{place} can't stand here.", remedy="Write it directly under [load].")
    kind = table.one_kind("the load")
    table.check_keys(kind=kind)
    if kind == "none" and not table.flag("none", True):
        table.fault("none", "none = false says nothing.", remedy="Say what the load is, or write none = true.")
    value = table.positive(kind, 1.0) if kind not in ("", "none", "pulses") else None
    if kind == "battery":
        table.number("battery_resistance", required=True)
    pulses, period = _pulses(table, mains) if kind == "pulses" else ((), None)
    return Load(
        kind=cast(LoadKind, kind or "none"),
        value=value,
        minimum_voltage=_or(table.number("minimum_voltage"), 0.5),
        battery_resistance=table.number("battery_resistance", 0.0) or 0.0,
        pulses=pulses,
        pulse_period=period,
        tolerance=table.tolerance("tolerance", NO_TOLERANCE, beside=kind),
    )


def _pulses(table: Table, mains: Mains) -> tuple[tuple[Pulse, ...], float | None]:
    period = table.number("pulse_period", required=True)
    pulses: list[tuple[Path, Pulse]] = []
    items = table.items("pulses")
    for path, item in items:
        entry = Table(table.reading, path, item, "load.pulses")
        entry.check_keys()
        pulse = Pulse(
            level=entry.positive("level", 0.0), start=entry.positive("from", 0.0), end=entry.positive("to", 1.0)
        )
        if all(name in entry for name in ("from", "to")) and pulse.end <= pulse.start:
            entry.fault("to", "a step ends after it has started.", remedy="Exchange from and to?")
        if period is not None and pulse.end > period * (1.0 + 1e-12) and "to" in entry:
            entry.fault("to", "the step ends after pulse_period.", remedy="Lengthen pulse_period, or end it earlier.")
        pulses.append((path, pulse))
    if not items and isinstance(table.content.get("pulses"), list):
        table.fault("pulses", "the list is empty.", remedy=f"Write pulses = {table.key('pulses').example}.")
    pulses.sort(key=lambda entry: entry[1].start)
    for (_, first), (path, second) in itertools.pairwise(pulses):
        if second.start < first.end - 1e-15 and second.start < second.end:
            table.faults.add(path, "the step starts before the one ahead of it has ended.", remedy="Let none overlap.")
    if period is not None and mains.frequency is not None and not _commensurate(period * mains.frequency):
        table.faults.note(
            f"load.pulse_period is {period * mains.frequency:.6g} mains periods, no p/q of them with p times q up to "
            f"{MOST_PERIODS}: there is no common period, so only inrush and captures can be worked out."
        )
    return tuple(pulse for _, pulse in pulses), period


def _commensurate(ratio: float) -> bool:
    """Whether a ratio is p/q with p x q at most 100, to nine digits."""
    if not 1.0 / (2 * MOST_PERIODS) < ratio < 2 * MOST_PERIODS:
        return False
    for bottom in range(1, MOST_PERIODS + 1):
        top = round(ratio * bottom)
        if 0 < top * bottom <= MOST_PERIODS and abs(ratio - float(Fraction(top, bottom))) <= 1e-9 * ratio:
            return True
    return False


# ------------------------------------------------------------------------------------------------ the small tables


def read_fuse(table: Table) -> Fuse:
    """`[fuse]`."""
    table.check_keys()
    return Fuse(
        rating=table.positive("rating", 1.0),
        characteristic=table.text("characteristic") or None,
        side=cast(Literal["primary", "secondary"], table.choice("side", "primary")),
    )


def read_probe(reading: Reading, path: Path, item: object) -> Probe:
    """One `[[probe]]`."""
    table = Table(reading, path, item, "probe")
    table.check_keys()
    instrument = table.choice("instrument", "meter-dc", required=True)
    return Probe(
        name=table.name("name", ""),
        positive=table.name("from", ""),
        negative=table.name("to", ""),
        instrument=cast(Any, instrument),
        resistance=_or(table.number("resistance"), 10e6),
        capacitance=_or(table.number("capacitance"), 100e-12),
        clip_earthed=table.flag("clip_earthed", instrument.startswith("scope")),
    )


def read_extra(reading: Reading, path: Path, item: object) -> Extra:
    """One `[[extra]]`."""
    table = Table(reading, path, item, "extra")
    kind = table.choice("kind", "", required=True)
    table.check_keys(kind=kind)
    value = None
    if kind in EXTRA_UNITS:
        value = table.number("value", required=True, unit=EXTRA_UNITS[kind])
    return Extra(
        kind=cast(Any, kind or "wire"),
        name=table.name("name", ""),
        start=table.name("from", ""),
        end=table.name("to", ""),
        value=value,
    )


def read_conditions(table: Table) -> Conditions:
    """`[conditions]`."""
    table.check_keys()
    return Conditions(
        ambient=_or(table.number("ambient"), 25.0),
        ambient_range=_ambient_range(table),
        transformer_temperature=_or(table.number("transformer_temperature"), 80.0),
    )


def _ambient_range(table: Table) -> tuple[float, float]:
    usual = (0.0, 40.0)
    if "ambient_range" not in table:
        return usual
    value = table.content["ambient_range"]
    ends: list[float] = []
    if isinstance(value, list) and len(value) == 2:
        for position, item in enumerate(value, 1):
            read = table.quantity(table.at("ambient_range", position), item, "°C", table.key("ambient"))
            if read is None:
                return usual
            ends.append(read.value)
    elif isinstance(value, str):
        try:
            ends = [end.value for end in read_span(value.replace(" to ", ".."), "°C")]
        except QuantityError as error:
            table.fault("ambient_range", f'"{error.given}" {error.reason}.', remedy=error.remedy)
            return usual
    else:
        table.fault(
            "ambient_range", f"{quoted(value)} is no pair of temperatures.", remedy='Write ["0 °C", "40 °C"].'
        )
        return usual
    if ends[0] > ends[1]:
        table.fault("ambient_range", "the first temperature is above the second.", remedy="Exchange the two.")
        return usual
    return ends[0], ends[1]


def read_margins(table: Table) -> Margins:
    """`[margins]`."""
    table.check_keys()
    return Margins(
        voltage=_or(table.number("voltage"), 0.20),
        current=_or(table.number("current"), 0.20),
        power=_or(table.number("power"), 0.20),
    )
