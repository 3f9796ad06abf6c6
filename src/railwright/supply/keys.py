"""Every key that a sheet may hold, as data: what it takes, in which unit and range, and what it means.

The reader checks by this table, the documentation prints it, and a key that isn't here is an error.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

#: What a key takes: `quantity` a number with its unit in quotes; `fraction` the same with % or a plain number;
#: `ratio` turns as "25:1"; `tolerance` as "-20/+50 %"; `count` a whole number; `flag` true or false; `choice` one
#: of the words allowed; `word` a name of one's own; `node` a node name; `text` anything; `list`, `table` as it says.
Takes = Literal[
    "quantity", "fraction", "ratio", "tolerance", "count", "flag", "choice", "word", "node", "text", "list", "table"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of one section."""

    section: str  # "mains", "rectifier.diode"; "" is the top of the sheet
    name: str
    takes: Takes
    meaning: str
    unit: str = ""  # SI unit of a quantity
    default: str = ""  # in words
    choices: tuple[str, ...] = ()
    above: float | None = None  # [SI] exclusive lower bound
    at_least: float | None = None  # [SI]
    at_most: float | None = None  # [SI]
    below: float | None = None  # [SI] exclusive upper bound
    only: tuple[str, ...] = ()  # kinds (of a filter part, load, regulator, element) or circuits that take it
    is_kind: bool = False  # one of several keys of which a table holds exactly one
    example: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One table of the sheet."""

    name: str
    heading: str  # as written in the sheet
    meaning: str
    keys: tuple[Key, ...]

    def key(self, name: str) -> Key | None:
        """The key of that name, if the section has it."""
        return next((key for key in self.keys if key.name == name), None)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all its keys, in the table's order."""
        return tuple(key.name for key in self.keys)

    @property
    def kinds(self) -> tuple[str, ...]:
        """The keys of which exactly one may stand in the table."""
        return tuple(key.name for key in self.keys if key.is_kind)


WAVEFORMS: Final = ("sine", "square", "triangle", "dc")
CIRCUITS: Final = (
    "half-wave", "centre-tap", "bridge", "dual-rail", "dual-half-wave", "full-wave-doubler", "half-wave-doubler",
    "multiplier", "three-phase-half-wave", "three-phase-bridge", "none",
)  # fmt: skip
DUAL_CIRCUITS: Final = ("dual-rail", "dual-half-wave")
TAPPED_CIRCUITS: Final = ("centre-tap", "dual-rail")
THREE_PHASE_CIRCUITS: Final = ("three-phase-half-wave", "three-phase-bridge")
PUMP_CIRCUITS: Final = ("half-wave-doubler", "multiplier")
STAGE_CIRCUITS: Final = ("full-wave-doubler", "half-wave-doubler", "multiplier")
INSTRUMENTS: Final = ("meter-dc", "meter-ac-average", "meter-ac-rms", "meter-ac-dc-rms", "scope-dc", "scope-ac")
#: Circuit words that mean two circuits, and the two.
AMBIGUOUS_CIRCUITS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {"full-wave": ("centre-tap", "bridge"), "doubler": ("full-wave-doubler", "half-wave-doubler")}
)
CONNECTIONS: Final = ("star-star", "star-delta", "delta-star", "delta-delta")
ELEMENT_KINDS: Final = (
    "source", "resistor", "capacitor", "choke", "diode", "zener", "battery", "current-load", "switch", "winding",
)  # fmt: skip

LOWEST_FREQUENCY: Final = 3.0  # [Hz] as agreed for the sheet
HIGHEST_FREQUENCY: Final = 1000.0  # [Hz] as agreed for the sheet
ABSOLUTE_ZERO: Final = -273.15  # [°C] definition of the scale
HOTTEST: Final = 1000.0  # [°C] beyond this no part of a supply survives: a slip of the pen


def _mains(section: str, only: tuple[str, ...] = ()) -> tuple[Key, ...]:
    """The keys of a source, in `[mains]` or in a `source` element."""
    return (
        Key(section=section, name="voltage", takes="quantity", unit="V", above=0.0, only=only, is_kind=True,
            example='"230 V"', meaning="RMS of the source EMF; line to line with three phases; of dc its value"),
        Key(section=section, name="voltage_peak", takes="quantity", unit="V", above=0.0, only=only, is_kind=True,
            example='"325 V"', meaning="instead of voltage: the peak of the waveform; not with three phases"),
        Key(section=section, name="frequency", takes="quantity", unit="Hz", at_least=LOWEST_FREQUENCY,
            at_most=HIGHEST_FREQUENCY, only=only, example='"50 Hz"', meaning="frequency, in Hz or rad/s; none for dc"),
        Key(section=section, name="waveform", takes="choice", choices=WAVEFORMS, default="sine", only=only,
            meaning="shape of the EMF; square and triangle are generators, dc a bench supply"),
        Key(section=section, name="tolerance", takes="tolerance", default="10 %", only=only, example='"-10/+6 %"',
            meaning="how far the voltage may stray; used by corners and builds"),
        Key(section=section, name="phases", takes="count", at_least=1, at_most=3, default="1", only=only,
            meaning="1 or 3"),
        Key(section=section, name="source", takes="choice", choices=("outlet", "adapter", "generator"),
            default="outlet", only=only,
            meaning="isolation, earthing, cautions: an outlet's neutral is joined to earth, the others float"),
        Key(section=section, name="source_resistance", takes="quantity", unit="ohm", at_least=0.0, default="0 ohm",
            only=only, example='"0.5 ohm"', meaning="line resistance; mains readings are taken behind it"),
        Key(section=section, name="source_inductance", takes="quantity", unit="H", at_least=0.0, default="0 H",
            only=only, example='"0.1 mH"', meaning="line inductance; mains readings are taken behind it"),
        Key(section=section, name="harmonics", takes="list", default="none", only=only,
            example='[{ order = 3, ratio = "3 %", phase = "180 deg" }]',
            meaning="harmonics of the EMF, each with order, ratio and phase"),
    )  # fmt: skip


def _diode(section: str) -> tuple[Key, ...]:
    return (
        Key(section=section, name="drop", takes="quantity", unit="V", at_least=0.0, default="0.7 V",
            example='"0.7 V"', meaning="forward drop at model textbook"),
        Key(section=section, name="resistance", takes="quantity", unit="ohm", at_least=0.0, default="0 ohm",
            example='"0.05 ohm"', meaning="forward resistance at model textbook"),
        Key(section=section, name="saturation_current", takes="quantity", unit="A", above=0.0, default="part table",
            example='"1 nA"', meaning="of the exponential law, at the junction temperature; model physical"),
        Key(section=section, name="ideality", takes="fraction", unit="-", above=0.0, at_most=20.0,
            default="part table", example="1.8", meaning="of the exponential law; model physical"),
        Key(section=section, name="series_resistance", takes="quantity", unit="ohm", at_least=0.0,
            default="part table", example='"0.04 ohm"', meaning="in series with the exponential law; model physical"),
        Key(section=section, name="junction_temperature", takes="quantity", unit="°C", above=ABSOLUTE_ZERO,
            at_most=HOTTEST, default="25 °C", example='"25 °C"', meaning="at which the law holds; model physical"),
        Key(section=section, name="leakage", takes="quantity", unit="A", at_least=0.0, default="part table",
            example='"5 uA"', meaning="reverse current; model physical"),
        Key(section=section, name="points", takes="list", example='[["1 mA", "0.64 V"], ["1 A", "0.96 V"]]',
            meaning="the drop at two currents, instead of saturation_current and ideality"),
        Key(section=section, name="reverse_voltage_rating", takes="quantity", unit="V", above=0.0,
            default="part table", example='"100 V"', meaning="largest repetitive reverse voltage"),
        Key(section=section, name="mean_current_rating", takes="quantity", unit="A", above=0.0,
            default="part table", example='"1 A"', meaning="largest mean forward current"),
        Key(section=section, name="surge_rating", takes="quantity", unit="A", above=0.0, default="part table",
            example='"30 A"', meaning="largest single surge of one half cycle"),
    )  # fmt: skip


_CAPACITOR: Final = ("capacitor",)

SECTIONS: Final[Mapping[str, Section]] = MappingProxyType({
    section.name: section
    for section in (
        Section(name="", heading="the sheet", meaning="what the supply is called", keys=(
            Key(section="", name="title", takes="text", meaning="what the supply is called"),
            Key(section="", name="kind", takes="choice", choices=("supply",), default="supply",
                meaning="what the file describes"),
            Key(section="", name="note", takes="text", meaning="a remark that the documents pass on"),
            Key(section="", name="mains", takes="table", meaning="the outlet, adapter or generator"),
            Key(section="", name="transformer", takes="table", default="none: the source itself feeds the rectifier",
                meaning="the transformer"),
            Key(section="", name="rectifier", takes="table", meaning="the rectifier circuit and its diodes"),
            Key(section="", name="filter", takes="list", default="none", meaning="the parts behind the rectifier"),
            Key(section="", name="regulator", takes="table", default="none", meaning="a linear regulator"),
            Key(section="", name="load", takes="table", meaning="what the supply feeds"),
            Key(section="", name="fuse", takes="table", default="none", meaning="the fuse"),
            Key(section="", name="probe", takes="list", default="none", meaning="meters and scopes in the circuit"),
            Key(section="", name="extra", takes="list", default="none", meaning="parts added to the circuit"),
            Key(section="", name="element", takes="list", default="none", meaning="a whole network of one's own"),
            Key(section="", name="network", takes="table", meaning="reference node and output of a network"),
            Key(section="", name="initial", takes="table", default="the steady state",
                meaning="where discharge and inrush start"),
            Key(section="", name="point", takes="list", default="none", meaning="named load states"),
            Key(section="", name="conditions", takes="table", meaning="temperatures"),
            Key(section="", name="builds", takes="table", meaning="how tolerances are drawn"),
            Key(section="", name="requirement", takes="table", default="none", meaning="what readings must meet"),
            Key(section="", name="margins", takes="table", meaning="distance to keep from a limit"),
            Key(section="", name="measured", takes="list", default="none", meaning="readings taken at the bench"),
        )),
        Section(name="mains", heading="[mains]", meaning="the outlet, adapter, generator or bench source",
                keys=_mains("mains")),
        Section(name="mains.harmonics", heading="mains.harmonics", meaning="one harmonic of the source EMF", keys=(
            Key(section="mains.harmonics", name="order", takes="count", at_least=2, at_most=100, example="3",
                meaning="order, 2 or more"),
            Key(section="mains.harmonics", name="ratio", takes="fraction", unit="-", at_least=0.0, at_most=10.0,
                example='"3 %"', meaning="ratio to the fundamental"),
            Key(section="mains.harmonics", name="phase", takes="fraction", unit="deg", at_least=-360.0,
                at_most=360.0, example='"180 deg"',
                meaning="degrees of the harmonic's own sine at the fundamental's rising zero"),
        )),
        Section(name="transformer", heading="[transformer]", meaning="the transformer; voltages of one section", keys=(
            Key(section="transformer", name="turns_ratio", takes="ratio", above=0.0, example='"25:1"',
                meaning="primary turns to turns of one section"),
            Key(section="transformer", name="secondary_voltage", takes="quantity", unit="V", above=0.0,
                example='"12 V"', meaning="RMS of one section at rated resistive load, nominal mains"),
            Key(section="transformer", name="open_voltage", takes="quantity", unit="V", above=0.0,
                example='"13.2 V"', meaning="RMS of one section, unloaded, nominal mains"),
            Key(section="transformer", name="secondary", takes="choice", default="single",
                choices=("single", "centre-tapped", "series", "parallel"),
                meaning="one section, or two equal ones with a tap, in series or in parallel"),
            Key(section="transformer", name="rating", takes="quantity", unit="VA", above=0.0, example='"20 VA"',
                meaning="of all sections together"),
            Key(section="transformer", name="rated_current", takes="quantity", unit="A", above=0.0,
                example='"1.2 A"', meaning="RMS of one section; instead of rating, or checked against it"),
            Key(section="transformer", name="regulation", takes="fraction", unit="%", at_least=0.0, at_most=3.0,
                example='"12 %"', meaning="(open - rated)/rated voltage at rated resistive load"),
            Key(section="transformer", name="regulation_split", takes="fraction", unit="%", at_least=0.0,
                at_most=1.0, default="50 %", example='"50 %"', meaning="share of the copper loss in the primary"),
            Key(section="transformer", name="primary_resistance", takes="quantity", unit="ohm", at_least=0.0,
                example='"40 ohm"', meaning="measured, at 20 °C"),
            Key(section="transformer", name="secondary_resistance", takes="quantity", unit="ohm", at_least=0.0,
                example='"0.6 ohm"', meaning="of one section, measured, at 20 °C"),
            Key(section="transformer", name="leakage_inductance", takes="quantity", unit="H", at_least=0.0,
                default="0 H", example='"0.2 mH"', meaning="referred to one section, primary shorted"),
            Key(section="transformer", name="magnetizing_inductance", takes="quantity", unit="H", above=0.0,
                default="infinite", example='"6 H"', meaning="seen from the primary"),
            Key(section="transformer", name="saturation_current", takes="quantity", unit="A", above=0.0,
                default="none", example='"0.1 A"', meaning="knee of the magnetizing branch"),
            Key(section="transformer", name="saturated_inductance", takes="quantity", unit="H", above=0.0,
                default="none", example='"60 mH"', meaning="slope of the magnetizing branch beyond the knee"),
            Key(section="transformer", name="connection", takes="choice", choices=CONNECTIONS, default="star-star",
                meaning="three-phase only: primary, then secondary"),
        )),
        Section(name="rectifier", heading="[rectifier]", meaning="the rectifier circuit", keys=(
            Key(section="rectifier", name="circuit", takes="choice", choices=CIRCUITS, meaning="which circuit"),
            Key(section="rectifier", name="diode", takes="table", default='"silicon"',
                example='"1N4001" or { drop = "0.7 V" }', meaning="a name from the part table, or a table of values"),
            Key(section="rectifier", name="tap", takes="choice", choices=("common", "unused", "negative"),
                default="common; with a bridge unused", meaning="where a centre tap is wired"),
            Key(section="rectifier", name="stages", takes="count", at_least=1, at_most=100, default="1",
                only=("multiplier",), example="3", meaning="one stage is two diodes and two capacitors"),
            *(
                Key(section="rectifier", name=f"{place}_{name}", takes="quantity", unit=unit, above=above,
                    at_least=at_least, only=circuits, default=default, example=example, meaning=meaning)
                for place, circuits in (("pump", PUMP_CIRCUITS), ("stage", STAGE_CIRCUITS))
                for name, unit, above, at_least, default, example, meaning in (
                    ("capacitor", "F", 0.0, None, "", '"100 uF"',
                     "each coupling capacitor" if place == "pump" else "each smoothing capacitor"),
                    ("esr", "ohm", None, 0.0, "0 ohm (physical: part table)", '"0.1 ohm"', "its series resistance"),
                    ("voltage_rating", "V", 0.0, None, "not stated", '"63 V"', "its rated voltage"),
                    ("leakage", "A", None, 0.0, "0.01 C V, at least 3 uA", '"30 uA"', "its leakage; model physical"),
                )
            ),
        )),
        Section(name="rectifier.diode", heading="rectifier.diode", meaning="one diode; all of a circuit are alike",
                keys=_diode("rectifier.diode")),
        Section(name="filter", heading="[[filter]]", meaning="one part behind the rectifier, in order", keys=(
            Key(section="filter", name="capacitor", takes="quantity", unit="F", above=0.0, is_kind=True,
                example='"2200 uF"', meaning="across the rail"),
            Key(section="filter", name="resistor", takes="quantity", unit="ohm", at_least=0.0, is_kind=True,
                example='"10 ohm"', meaning="in the rail"),
            Key(section="filter", name="choke", takes="quantity", unit="H", above=0.0, is_kind=True,
                example='"10 H"', meaning="in the rail"),
            Key(section="filter", name="bleeder", takes="quantity", unit="ohm", above=0.0, is_kind=True,
                example='"1 kohm"', meaning="a resistor across the rail that discharges it"),
            Key(section="filter", name="rail", takes="choice", choices=("both", "positive", "negative"),
                default="both", meaning="dual circuits: both is one such part in each rail"),
            Key(section="filter", name="esr", takes="quantity", unit="ohm", at_least=0.0, only=_CAPACITOR,
                default="0 ohm (physical: part table)", example='"0.05 ohm"', meaning="series resistance"),
            Key(section="filter", name="loss_factor", takes="fraction", unit="-", at_least=0.0, only=_CAPACITOR,
                example='"15 %"', meaning="instead of esr: tangent of the loss angle at loss_frequency"),
            Key(section="filter", name="loss_frequency", takes="quantity", unit="Hz", above=0.0, only=_CAPACITOR,
                default="100 Hz", example='"100 Hz"', meaning="of loss_factor"),
            Key(section="filter", name="leakage", takes="quantity", unit="A", at_least=0.0, only=_CAPACITOR,
                default="0.01 C V, at least 3 uA", example='"30 uA"',
                meaning="at rated voltage; taken as a resistor; model physical"),
            Key(section="filter", name="resistance", takes="quantity", unit="ohm", at_least=0.0, only=("choke",),
                default="0 ohm", example='"25 ohm"', meaning="of the winding"),
            Key(section="filter", name="saturation_current", takes="quantity", unit="A", above=0.0, only=("choke",),
                default="none", example='"0.5 A"', meaning="at which the core saturates; model physical"),
            Key(section="filter", name="voltage_rating", takes="quantity", unit="V", above=0.0, default="not stated",
                example='"35 V"', meaning="rated voltage"),
            Key(section="filter", name="ripple_current_rating", takes="quantity", unit="A", above=0.0,
                only=_CAPACITOR, default="not stated", example='"2 A"', meaning="rated RMS ripple current"),
            Key(section="filter", name="life_rating", takes="quantity", unit="s", above=0.0, default="not stated",
                only=_CAPACITOR, example='"2000 h"', meaning="life at the rated temperature"),
            Key(section="filter", name="temperature_rating", takes="quantity", unit="°C", above=ABSOLUTE_ZERO,
                at_most=HOTTEST, default="not stated", example='"105 °C"', meaning="rated temperature"),
            Key(section="filter", name="tolerance", takes="tolerance",
                default="capacitor 20 %, resistor and bleeder 5 %, choke 0 %", example='"-20/+50 %"',
                meaning="of the part's value"),
            Key(section="filter", name="fitted", takes="flag", default="true",
                meaning="false: drawn, but not in the circuit"),
        )),
        Section(name="regulator", heading="[regulator]", meaning="a linear regulator on one rail", keys=(
            Key(section="regulator", name="kind", takes="choice", choices=("series", "zener"),
                default="as the part's", meaning="series regulator, or zener with its series resistor"),
            Key(section="regulator", name="part", takes="text", example='"7805"', meaning="a name in the part table"),
            Key(section="regulator", name="output", takes="quantity", unit="V", above=0.0, only=("series",),
                default="part table", example='"5 V"', meaning="nominal output, without sign also on a negative rail"),
            Key(section="regulator", name="dropout", takes="quantity", unit="V", at_least=0.0, only=("series",),
                default="part table", example='"2 V"', meaning="least input less output at which it regulates"),
            Key(section="regulator", name="quiescent", takes="quantity", unit="A", at_least=0.0, only=("series",),
                default="part table", example='"5 mA"', meaning="its own current, through the common lead"),
            Key(section="regulator", name="ripple_rejection", takes="quantity", unit="dB", at_least=0.0,
                at_most=200.0, only=("series",), default="part table; infinite at ideal", example='"62 dB"',
                meaning="at ripple frequency, in regulation"),
            Key(section="regulator", name="current_limit", takes="quantity", unit="A", above=0.0, only=("series",),
                default="part table", example='"1.5 A"', meaning="largest output current"),
            Key(section="regulator", name="input_maximum", takes="quantity", unit="V", above=0.0, only=("series",),
                default="part table", example='"35 V"', meaning="largest input voltage"),
            Key(section="regulator", name="minimum_load", takes="quantity", unit="A", at_least=0.0, only=("series",),
                default="part table", example='"5 mA"', meaning="least output current at which it regulates"),
            Key(section="regulator", name="series_resistor", takes="quantity", unit="ohm", above=0.0,
                only=("zener",), example='"220 ohm"', meaning="between the rail and the zener"),
            Key(section="regulator", name="zener_voltage", takes="quantity", unit="V", above=0.0, only=("zener",),
                default="part table", example='"5.1 V"', meaning="its voltage"),
            Key(section="regulator", name="zener_resistance", takes="quantity", unit="ohm", at_least=0.0,
                only=("zener",), default="0 ohm", example='"7 ohm"', meaning="its slope resistance"),
            Key(section="regulator", name="zener_minimum_current", takes="quantity", unit="A", at_least=0.0,
                only=("zener",), default="part table", example='"1 mA"', meaning="below which it doesn't hold"),
            Key(section="regulator", name="positive", takes="table", meaning="dual circuits: the positive rail's"),
            Key(section="regulator", name="negative", takes="table", meaning="dual circuits: the negative rail's"),
        )),
        Section(name="load", heading="[load]", meaning="what the supply feeds", keys=(
            Key(section="load", name="resistance", takes="quantity", unit="ohm", above=0.0, is_kind=True,
                example='"330 ohm"', meaning="a resistor"),
            Key(section="load", name="current", takes="quantity", unit="A", at_least=0.0, is_kind=True,
                example='"0.5 A"', meaning="a constant current"),
            Key(section="load", name="power", takes="quantity", unit="W", at_least=0.0, is_kind=True,
                example='"2 W"', meaning="a constant power, such as a switching converter takes"),
            Key(section="load", name="battery", takes="quantity", unit="V", above=0.0, is_kind=True,
                example='"12 V"', meaning="a battery being charged: its EMF"),
            Key(section="load", name="pulses", takes="list", is_kind=True,
                example='[{ level = "1 A", from = "0 ms", to = "2 ms" }]',
                meaning="a current in steps; zero between them"),
            Key(section="load", name="none", takes="flag", is_kind=True, example="true", meaning="true: nothing"),
            Key(section="load", name="minimum_voltage", takes="quantity", unit="V", above=0.0,
                only=("current", "power"), default="0.5 V for a current, half the nominal output for a power",
                example='"0.5 V"', meaning="below it the load is the resistor that meets its law there"),
            Key(section="load", name="battery_resistance", takes="quantity", unit="ohm", at_least=0.0,
                only=("battery",), example='"0.05 ohm"', meaning="inside the battery; 0 ohm is allowed"),
            Key(section="load", name="pulse_period", takes="quantity", unit="s", above=0.0, only=("pulses",),
                example='"20 ms"', meaning="after which the pulses repeat"),
            Key(section="load", name="tolerance", takes="tolerance", default="0 %", example='"10 %"',
                meaning="of the load's value"),
            Key(section="load", name="positive", takes="table", meaning="dual circuits: on the positive rail"),
            Key(section="load", name="negative", takes="table", meaning="dual circuits: on the negative rail"),
            Key(section="load", name="across", takes="table", meaning="dual circuits: from rail to rail"),
        )),
        Section(name="load.pulses", heading="load.pulses", meaning="one step of a pulsed load", keys=(
            Key(section="load.pulses", name="level", takes="quantity", unit="A", at_least=0.0, example='"1 A"',
                meaning="the current"),
            Key(section="load.pulses", name="from", takes="quantity", unit="s", at_least=0.0, example='"0 ms"',
                meaning="when it starts within the period"),
            Key(section="load.pulses", name="to", takes="quantity", unit="s", above=0.0, example='"2 ms"',
                meaning="when it ends"),
        )),
        Section(name="fuse", heading="[fuse]", meaning="the fuse", keys=(
            Key(section="fuse", name="rating", takes="quantity", unit="A", above=0.0, example='"100 mA"',
                meaning="rated current"),
            Key(section="fuse", name="characteristic", takes="text", example='"T"', meaning="speed letter"),
            Key(section="fuse", name="side", takes="choice", choices=("primary", "secondary"), default="primary",
                meaning="where it stands"),
        )),
        Section(name="probe", heading="[[probe]]", meaning="a meter or scope in the circuit", keys=(
            Key(section="probe", name="name", takes="word", example='"M1"', meaning="its name in readings"),
            Key(section="probe", name="from", takes="node", example='"positive"', meaning="node of the first lead"),
            Key(section="probe", name="to", takes="node", example='"negative"', meaning="node of the second lead"),
            Key(section="probe", name="instrument", takes="choice", choices=INSTRUMENTS,
                meaning="by which law it shows what it sees"),
            Key(section="probe", name="resistance", takes="quantity", unit="ohm", above=0.0, default="10 Mohm",
                example='"1 Mohm"', meaning="its input resistance"),
            Key(section="probe", name="capacitance", takes="quantity", unit="F", at_least=0.0, default="100 pF",
                example='"15 pF"', meaning="its input capacitance"),
            Key(section="probe", name="clip_earthed", takes="flag", default="a scope true, a meter false",
                meaning="the second lead is joined to earth"),
        )),
        Section(name="extra", heading="[[extra]]", meaning="a part added to the circuit", keys=(
            Key(section="extra", name="kind", takes="choice", choices=("capacitor", "resistor", "choke", "wire"),
                meaning="what it is"),
            Key(section="extra", name="name", takes="word", example='"Cs"', meaning="its name in readings"),
            Key(section="extra", name="from", takes="node", example='"winding_a"', meaning="node of one end"),
            Key(section="extra", name="to", takes="node", example='"earth"', meaning="node of the other end"),
            Key(section="extra", name="value", takes="quantity", above=0.0, example='"100 pF"',
                only=("capacitor", "resistor", "choke"), meaning="in the unit of its kind"),
        )),
        Section(name="element", heading="[[element]]", meaning="one part of a network of one's own", keys=(
            Key(section="element", name="kind", takes="choice", choices=ELEMENT_KINDS, meaning="what it is"),
            Key(section="element", name="name", takes="word", example='"R1"', meaning="its name in readings"),
            Key(section="element", name="from", takes="node", example='"a"', meaning="node of one end: anode, plus"),
            Key(section="element", name="to", takes="node", example='"b"', meaning="node of the other end"),
            Key(section="element", name="resistance", takes="quantity", unit="ohm", at_least=0.0,
                only=("resistor", "choke"), example='"100 ohm"', meaning="of a resistor, or of a choke's winding"),
            Key(section="element", name="capacitance", takes="quantity", unit="F", above=0.0, only=_CAPACITOR,
                example='"100 uF"', meaning="of a capacitor"),
            Key(section="element", name="esr", takes="quantity", unit="ohm", at_least=0.0, only=_CAPACITOR,
                default="0 ohm", example='"0.1 ohm"', meaning="of a capacitor"),
            Key(section="element", name="inductance", takes="quantity", unit="H", above=0.0, only=("choke",),
                example='"10 H"', meaning="of a choke"),
            Key(section="element", name="diode", takes="table", only=("diode",), default='"silicon"',
                meaning="as in [rectifier]"),
            Key(section="element", name="zener_voltage", takes="quantity", unit="V", above=0.0, only=("zener",),
                example='"5.1 V"', meaning="of a zener, cathode above anode"),
            Key(section="element", name="zener_resistance", takes="quantity", unit="ohm", at_least=0.0,
                only=("zener",), default="0 ohm", example='"7 ohm"', meaning="its slope resistance"),
            Key(section="element", name="battery", takes="quantity", unit="V", above=0.0, only=("battery",),
                example='"12 V"', meaning="its EMF, plus at `from`"),
            Key(section="element", name="battery_resistance", takes="quantity", unit="ohm", at_least=0.0,
                only=("battery",), example='"0.05 ohm"', meaning="inside the battery; 0 ohm is allowed"),
            Key(section="element", name="current", takes="quantity", unit="A", at_least=0.0,
                only=("current-load",), example='"0.5 A"', meaning="of a constant-current load"),
            Key(section="element", name="minimum_voltage", takes="quantity", unit="V", above=0.0,
                only=("current-load",), default="0.5 V", example='"0.5 V"', meaning="below it a resistor"),
            Key(section="element", name="closed", takes="flag", only=("switch",), meaning="whether it conducts"),
            Key(section="element", name="core", takes="word", only=("winding",), example='"T1"',
                meaning="windings on one core share its flux"),
            Key(section="element", name="turns", takes="fraction", unit="-", above=0.0, only=("winding",),
                example="100", meaning="of a winding"),
            *_mains("element", only=("source",)),
        )),
        Section(name="network", heading="[network]", meaning="how to read a network of one's own", keys=(
            Key(section="network", name="common", takes="node", example='"0"', meaning="the reference node"),
            Key(section="network", name="output", takes="list", example='["out", "0"]',
                meaning="the pair of nodes that gives the load readings"),
        )),
        Section(name="point", heading="[[point]]", meaning="a named load state", keys=(
            Key(section="point", name="name", takes="word", example='"heavy"', meaning="its name"),
            Key(section="point", name="set", takes="table", example='{ "load.resistance" = "47 ohm" }',
                meaning="sheet keys and what they become; any key but the circuit"),
        )),
        Section(name="conditions", heading="[conditions]", meaning="temperatures", keys=(
            Key(section="conditions", name="ambient", takes="quantity", unit="°C", above=ABSOLUTE_ZERO,
                at_most=HOTTEST, default="25 °C", example='"25 °C"', meaning="around the supply"),
            Key(section="conditions", name="ambient_range", takes="list", default="0 °C to 40 °C",
                example='["0 °C", "40 °C"]', meaning="its ends are the corners cold and hot"),
            Key(section="conditions", name="transformer_temperature", takes="quantity", unit="°C",
                above=ABSOLUTE_ZERO, at_most=HOTTEST, default="80 °C", example='"80 °C"',
                meaning="of the windings at model physical"),
        )),
        Section(name="builds", heading="[builds]", meaning="how tolerances are drawn", keys=(
            Key(section="builds", name="distribution", takes="choice", choices=("uniform", "normal"),
                default="uniform", meaning="normal: the tolerance is 3 sigma, truncated"),
        )),
        Section(name="requirement", heading="[requirement]", meaning="what a reading must meet", keys=(
            Key(section="requirement", name="at_least", takes="quantity", example='"10 V"', meaning="lower limit"),
            Key(section="requirement", name="at_most", takes="quantity", example='"2 V"', meaning="upper limit"),
            Key(section="requirement", name="at", takes="text", example='"mains low, full load"',
                meaning="a corner or a point"),
        )),
        Section(name="margins", heading="[margins]", meaning="a stress inside the margin is thin", keys=tuple(
            Key(section="margins", name=name, takes="fraction", unit="%", at_least=0.0, below=1.0, default="20 %",
                example='"20 %"', meaning=f"for {name} limits; common practice")
            for name in ("voltage", "current", "power")
        )),
        Section(name="measured", heading="[[measured]]", meaning="one reading taken at the bench", keys=(
            Key(section="measured", name="reading", takes="text", example='"load.voltage.mean"',
                meaning="which reading"),
            Key(section="measured", name="value", takes="quantity", example='"12.1 V"', meaning="what was read"),
            Key(section="measured", name="instrument", takes="choice", choices=INSTRUMENTS, meaning="with what"),
            Key(section="measured", name="uncertainty", takes="quantity", example='"0.1 V"',
                meaning="half width, in the reading's unit or in % of the value"),
            Key(section="measured", name="point", takes="text", default="full_load", meaning="at which point"),
        )),
    )
})  # fmt: skip


def all_keys() -> tuple[Key, ...]:
    """Every key of every section, in the order of the sheet."""
    return tuple(key for section in SECTIONS.values() for key in section.keys)
