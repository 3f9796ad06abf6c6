"""What a supply is: the values that a checked sheet holds, frozen, in SI units.

Every class here mirrors one section of the sheet; `reader` makes them, once, and everything
above trusts them. Fractions are plain (20 % is 0.2), angles are in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from railwright.quantities import Tolerance

Circuit = Literal[
    "half-wave", "centre-tap", "bridge", "dual-rail", "dual-half-wave", "full-wave-doubler",
    "half-wave-doubler", "multiplier", "three-phase-half-wave", "three-phase-bridge", "none",
]  # fmt: skip
Waveform = Literal["sine", "square", "triangle", "dc"]
Source = Literal["outlet", "adapter", "generator"]
Winding = Literal["single", "centre-tapped", "series", "parallel"]
Rail = Literal["both", "positive", "negative"]
FilterKind = Literal["capacitor", "resistor", "choke", "bleeder"]
LoadKind = Literal["resistance", "current", "power", "battery", "pulses", "none"]

#: Peak over RMS of each generator waveform (definitions of the waveforms).
PEAK_OVER_RMS: Mapping[str, float] = {
    "sine": math.sqrt(2.0),
    "square": 1.0,
    "triangle": math.sqrt(3.0),
    "dc": 1.0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Harmonic:
    """One mains harmonic."""

    order: int
    ratio: float  # [-] of the fundamental
    phase: float  # [deg] of the harmonic's own sine at the fundamental's zero crossing


@dataclass(frozen=True, slots=True, kw_only=True)
class Mains:
    """The outlet, adapter, generator or bench source that feeds the supply."""

    voltage: float  # [V] RMS of the fundamental EMF (of the waveform, if not a sine); line to line with three phases
    frequency: float | None  # [Hz] None only for direct voltage
    waveform: Waveform = "sine"
    tolerance: Tolerance = Tolerance(minus=0.10, plus=0.10)
    phases: Literal[1, 3] = 1
    source: Source = "outlet"
    source_resistance: float = 0.0  # [ohm]
    source_inductance: float = 0.0  # [H]
    harmonics: tuple[Harmonic, ...] = ()

    @property
    def peak(self) -> float:
        """Peak of the EMF's fundamental or generator waveform. [V]"""
        return self.voltage * PEAK_OVER_RMS[self.waveform]

    @property
    def voltage_rms(self) -> float:
        """RMS of the whole EMF, harmonics included: the sheet's `mains.voltage`. [V]"""
        return self.voltage * math.sqrt(1.0 + sum(harmonic.ratio**2 for harmonic in self.harmonics))


@dataclass(frozen=True, slots=True, kw_only=True)
class Transformer:
    """The transformer as its label or the bench states it; RMS values are of one section."""

    turns_ratio: float | None = None  # [-] primary turns over turns of one section
    secondary_voltage: float | None = None  # [V] at rated resistive load
    open_voltage: float | None = None  # [V] unloaded
    secondary: Winding = "single"
    rating: float | None = None  # [VA]
    rated_current: float | None = None  # [A]
    regulation: float | None = None  # [-]
    regulation_split: float = 0.5  # [-] share of the copper loss in the primary
    primary_resistance: float | None = None  # [ohm] at 20 °C
    secondary_resistance: float | None = None  # [ohm] at 20 °C
    leakage_inductance: float = 0.0  # [H] referred to one section
    magnetizing_inductance: float | None = None  # [H] seen from the primary; None is infinite
    saturation_current: float | None = None  # [A]
    saturated_inductance: float | None = None  # [H]
    connection: str = "star-star"


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodePoint:
    """One measured point of a diode's forward curve."""

    current: float  # [A]
    drop: float  # [V]


@dataclass(frozen=True, slots=True, kw_only=True)
class Diode:
    """A diode: what the textbook model, the physical model and the ratings need."""

    name: str | None = None
    drop: float = 0.7  # [V] common practice, no source
    resistance: float = 0.0  # [ohm]
    saturation_current: float | None = None  # [A] at the junction temperature
    ideality: float | None = None  # [-]
    series_resistance: float | None = None  # [ohm]
    junction_temperature: float = 25.0  # [°C]
    leakage: float | None = None  # [A]
    points: tuple[DiodePoint, ...] = ()
    reverse_voltage_rating: float | None = None  # [V]
    mean_current_rating: float | None = None  # [A]
    surge_rating: float | None = None  # [A]


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacitor:
    """A capacitor of the rectifier circuit itself (pump or stage)."""

    capacitance: float  # [F]
    esr: float | None = None  # [ohm] None: not stated
    leakage: float | None = None  # [A]
    voltage_rating: float | None = None  # [V]
    tolerance: Tolerance = Tolerance(minus=0.20, plus=0.20)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectifier:
    """The rectifier circuit with its diodes and, for multipliers, its capacitors."""

    circuit: Circuit
    diode: Diode = Diode(name="silicon")
    tap: Literal["common", "unused", "negative"] = "common"
    stages: int = 1
    pump_capacitor: Capacitor | None = None
    stage_capacitor: Capacitor | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterSection:
    """One part of the filter chain, counted from the rectifier on."""

    kind: FilterKind
    value: float  # [F] [ohm] or [H], by kind
    rail: Rail = "both"
    esr: float | None = None  # [ohm]
    loss_factor: float | None = None  # [-]
    loss_frequency: float = 100.0  # [Hz]
    leakage: float | None = None  # [A]
    resistance: float = 0.0  # [ohm] of a choke's winding
    saturation_current: float | None = None  # [A] of a choke
    voltage_rating: float | None = None  # [V]
    ripple_current_rating: float | None = None  # [A]
    life_rating: float | None = None  # [s]
    temperature_rating: float | None = None  # [°C]
    tolerance: Tolerance = Tolerance(minus=0.0, plus=0.0)
    fitted: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Regulator:
    """A linear regulator on one rail; None is 'not stated: the part table or the model says'."""

    kind: Literal["series", "zener"]
    part: str | None = None
    output: float | None = None  # [V]
    dropout: float | None = None  # [V]
    quiescent: float | None = None  # [A]
    ripple_rejection: float | None = None  # [dB]
    current_limit: float | None = None  # [A]
    input_maximum: float | None = None  # [V]
    minimum_load: float | None = None  # [A]
    series_resistor: float | None = None  # [ohm] zener
    zener_voltage: float | None = None  # [V]
    zener_resistance: float = 0.0  # [ohm]
    zener_minimum_current: float | None = None  # [A]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """One level of a pulsed load, from one moment of its period to another."""

    level: float  # [A]
    start: float  # [s]
    end: float  # [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """One load. `value` is in the unit of its kind; None for `pulses` and `none`."""

    kind: LoadKind
    value: float | None = None  # [ohm] [A] [W] or [V], by kind
    minimum_voltage: float = 0.5  # [V] below it a current or power load is a resistor
    battery_resistance: float = 0.0  # [ohm]
    pulses: tuple[Pulse, ...] = ()
    pulse_period: float | None = None  # [s]
    tolerance: Tolerance = Tolerance(minus=0.0, plus=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """The loads: `single` on a one-rail supply, else `positive`, `negative`, `across`."""

    single: Load | None = None
    positive: Load | None = None
    negative: Load | None = None
    across: Load | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuse:
    """A fuse and the side it stands on."""

    rating: float  # [A]
    characteristic: str | None = None
    side: Literal["primary", "secondary"] = "primary"


@dataclass(frozen=True, slots=True, kw_only=True)
class Probe:
    """A meter or scope that is part of the circuit."""

    name: str
    positive: str  # node (`from` in the sheet)
    negative: str  # node (`to` in the sheet)
    instrument: Literal[
        "meter-dc", "meter-ac-average", "meter-ac-rms", "meter-ac-dc-rms", "scope-dc", "scope-ac"
    ]
    resistance: float = 10e6  # [ohm]
    capacitance: float = 100e-12  # [F]
    clip_earthed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """A part added to the standard circuit."""

    kind: Literal["capacitor", "resistor", "choke", "wire"]
    name: str
    start: str  # node (`from`)
    end: str  # node (`to`)
    value: float | None = None  # [F] [ohm] [H]; None for a wire


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """One part of a reader's own network (`[[element]]`)."""

    kind: Literal[
        "source", "resistor", "capacitor", "choke", "diode", "zener", "battery", "current-load", "switch", "winding"
    ]
    name: str
    start: str  # node (`from`)
    end: str  # node (`to`)
    value: float | None = None  # resistance, capacitance, inductance, zener_voltage, battery, current, turns
    esr: float = 0.0  # [ohm]
    resistance: float = 0.0  # [ohm] of a choke, battery or zener
    minimum_voltage: float = 0.5  # [V] of a current load
    diode: Diode | None = None
    source: Mains | None = None
    closed: bool = True
    core: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkPair:
    """Reference node and output pair of an `[[element]]` network."""

    common: str
    output: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A named load state: sheet keys and what they are set to."""

    name: str
    set: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """What a reading must meet, and where."""

    reading: str
    at_least: float | None = None  # [unit of the reading]
    at_most: float | None = None
    at: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Temperatures around and in the supply."""

    ambient: float = 25.0  # [°C]
    ambient_range: tuple[float, float] = (0.0, 40.0)  # [°C]
    transformer_temperature: float = 80.0  # [°C] used at `physical`


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """Share of a limit below which a stress counts as comfortable."""

    voltage: float = 0.20
    current: float = 0.20
    power: float = 0.20


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One reading taken at the bench."""

    reading: str
    value: float  # [unit of the reading]
    instrument: str | None = None
    uncertainty: float | None = None  # [unit of the reading]
    point: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """An edit of supply, network or probe, in the words of the sheet.

    `target` is a designator (`D2`, `C1`, `T1`, `F1`), a winding or `primary`, `mains`, `load`, `tap`, `wire`,
    `wire-off`, `clips`; `action` is `open`, `shorted`, `reversed`, `leaky`, `dried`, `value`, `half-shorted`, `to`
    or ``""``; `values` and `nodes` hold the rest, in order.
    """

    words: str
    edits: Literal["supply", "network", "probe"]
    target: str
    action: str
    values: tuple[float, ...] = ()
    nodes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """One supply, read and checked. A what-if is a new supply (`reader.replace`, `reader.with_fault`)."""

    mains: Mains
    rectifier: Rectifier
    loads: Loads
    title: str = ""
    note: str = ""
    transformer: Transformer | None = None
    filters: tuple[FilterSection, ...] = ()
    regulator: Regulator | None = None  # of a one-rail supply
    regulator_positive: Regulator | None = None
    regulator_negative: Regulator | None = None
    fuse: Fuse | None = None
    probes: tuple[Probe, ...] = ()
    extras: tuple[Extra, ...] = ()
    elements: tuple[Element, ...] = ()
    network: NetworkPair | None = None
    initial: Mapping[str, float] = field(default_factory=dict)  # designator -> [V] or [A]
    points: tuple[Point, ...] = ()
    requirements: tuple[Requirement, ...] = ()
    margins: Margins = Margins()
    measured: tuple[Measured, ...] = ()
    conditions: Conditions = Conditions()
    builds_distribution: Literal["uniform", "normal"] = "uniform"
    faults: tuple[Fault, ...] = ()
    origin: str = "sheet"  # what to call it in messages: usually the file's name
    tree: Mapping[str, Any] = field(default_factory=dict, repr=False, compare=False)  # the sheet as parsed
    # Key path (positions from 1) -> its line; "set" for a key that was set from outside.
    lines: Mapping[tuple[str | int, ...], int | str] = field(default_factory=dict, repr=False, compare=False)
    tolerances: Mapping[str, Tolerance] = field(default_factory=dict)  # stated in the sheet: key with dots -> tolerance
    notes: tuple[str, ...] = ()  # warnings and statements that the output passes on, `changes` among them
    changes: tuple[str, ...] = ()  # what gave way when keys were set anew
    unloaded: bool = False  # at the corner "no load": the open EMF is used at every model
    nominal_mains_voltage: float | None = None  # [V] RMS that the transformer's label means; None: mains.voltage

    @property
    def is_dual(self) -> bool:
        """Whether the supply has a positive and a negative rail about `zero`."""
        return self.rectifier.circuit in ("dual-rail", "dual-half-wave")

    def replace(self, key: str, value: object) -> Supply:
        """A supply in which one key of the sheet is set anew; see `railwright.supply.replace`."""
        from railwright.supply.points import replace

        return replace(self, key, value)

    def with_fault(self, words: str) -> Supply:
        """The supply with one more fault; see `railwright.supply.with_fault`."""
        from railwright.supply.faults import with_fault

        return with_fault(self, words)

    def at_point(self, name: str) -> Supply:
        """The supply at one of its points; see `railwright.supply.at_point`."""
        from railwright.supply.points import at_point

        return at_point(self, name)
