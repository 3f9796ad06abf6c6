"""Supplies for the tests of schematic and path: one of each circuit, and chains at random."""

from __future__ import annotations

import functools
from pathlib import Path

from hypothesis import strategies as st

from railwright.supply import read_sheet, read_text
from railwright.supply.model import (
    Capacitor,
    Circuit,
    Diode,
    Extra,
    FilterSection,
    Fuse,
    Load,
    LoadKind,
    Loads,
    Mains,
    Probe,
    Rectifier,
    Regulator,
    Supply,
    Transformer,
)

EXAMPLES = sorted((Path(__file__).parents[2] / "examples" / "supplies").glob("*.toml"))
OUTLET = Mains(voltage=230, frequency=50)
SINGLE = Transformer(secondary_voltage=9, rating=6)
TAPPED = Transformer(secondary_voltage=15, rating=50, secondary="centre-tapped")
C = FilterSection(kind="capacitor", value=2200e-6)
R = FilterSection(kind="resistor", value=4.7)
L = FilterSection(kind="choke", value=0.1)
BLEEDER = FilterSection(kind="bleeder", value=4700)


def load(kind: LoadKind = "resistance", value: float | None = 100.0) -> Loads:
    return Loads(single=Load(kind=kind, value=value))


def supply(circuit: Circuit, **others: object) -> Supply:
    """A supply of that circuit; whatever isn't said is ordinary."""
    tapped = circuit in ("centre-tap", "dual-rail")
    rectifier = Rectifier(
        circuit=circuit, pump_capacitor=Capacitor(capacitance=220e-6), stage_capacitor=Capacitor(capacitance=470e-6)
    )
    words: dict[str, object] = {
        "title": f"A {circuit}",
        "mains": OUTLET,
        "rectifier": rectifier,
        "transformer": TAPPED if tapped else SINGLE,
        "filters": (C,),
        "loads": load(),
    }
    return Supply(**(words | others))  # type: ignore[arg-type]


CIRCUITS: tuple[Circuit, ...] = (
    "half-wave", "centre-tap", "bridge", "dual-rail", "dual-half-wave", "full-wave-doubler", "half-wave-doubler",
    "none",
)  # fmt: skip

BY_NAME: dict[str, Supply] = {circuit: supply(circuit) for circuit in CIRCUITS} | {
    "bridge with regulator": supply(
        "bridge", regulator=Regulator(kind="series", output=5.0), fuse=Fuse(rating=0.1, characteristic="T")
    ),
    "bridge with zener": supply(
        "bridge", filters=(C, R, C), regulator=Regulator(kind="zener", series_resistor=100, zener_voltage=5.1)
    ),
    "bridge, choke input, secondary fuse": supply(
        "bridge", filters=(L, C, BLEEDER), fuse=Fuse(rating=1, side="secondary"), loads=load("current", 0.5)
    ),
    "bridge with an unused tap": supply("bridge", transformer=TAPPED),
    "bridge with the tap on negative": supply(
        "bridge", transformer=TAPPED, rectifier=Rectifier(circuit="bridge", tap="negative")
    ),
    "half-wave on a tapped winding": supply("half-wave", transformer=TAPPED),
    "dual half-wave on a tapped winding": supply("dual-half-wave", transformer=TAPPED),
    "bridge from a generator": supply(
        "bridge", mains=Mains(voltage=5, frequency=100, waveform="triangle", source="generator"), transformer=None,
        fuse=Fuse(rating=0.5), rectifier=Rectifier(circuit="bridge", diode=Diode(name="1N4001")),
    ),
    "transformer from an adapter, ratio only": supply(
        "half-wave", mains=Mains(voltage=24, frequency=60, waveform="square", source="adapter"),
        transformer=Transformer(turns_ratio=2.5), loads=load("none", None),
    ),
    "bench source": supply(
        "none", mains=Mains(voltage=12, frequency=None, waveform="dc", source="generator"), transformer=None
    ),
    "two sections in series, power load": supply(
        "bridge", transformer=Transformer(open_voltage=7, secondary="series"), loads=load("power", 5)
    ),
    "parts that aren't fitted": supply(
        "bridge",
        filters=(C, FilterSection(kind="choke", value=1.0, fitted=False), R,
                 FilterSection(kind="capacitor", value=1e-4, fitted=False)),
        loads=load("battery", 12),
    ),
    "dual rail with everything": supply(
        "dual-rail",
        filters=(C, R, C, FilterSection(kind="choke", value=0.01, rail="negative")),
        regulator_positive=Regulator(kind="series", part="7812"),
        regulator_negative=Regulator(kind="zener", series_resistor=100, zener_voltage=12),
        loads=Loads(
            positive=Load(kind="resistance", value=47.0), negative=Load(kind="current", value=0.3),
            across=Load(kind="resistance", value=1000.0),
        ),
    ),
    "multiplier of one stage": supply("multiplier"),
    "multiplier of three stages": supply(
        "multiplier",
        rectifier=Rectifier(
            circuit="multiplier", stages=3, pump_capacitor=Capacitor(capacitance=1e-7),
            stage_capacitor=Capacitor(capacitance=4.7e-8),
        ),
    ),
    "two earthed clips and extras": supply(
        "bridge",
        probes=(
            Probe(name="CH1", positive="winding_a", negative="winding_b", instrument="scope-dc", clip_earthed=True),
            Probe(name="CH2", positive="output", negative="negative", instrument="meter-dc"),
        ),
        extras=(
            Extra(kind="capacitor", name="CS", start="live", end="winding_a", value=100e-12),
            Extra(kind="wire", name="W1", start="negative", end="earth"),
        ),
    ),
}  # fmt: skip


def three_phase(circuit: Circuit, connection: str | None, **others: object) -> Supply:
    """A supply from three phases; without a transformer where no connection is given."""
    transformer = None if connection is None else Transformer(secondary_voltage=11, rating=750, connection=connection)
    return supply(circuit, mains=Mains(voltage=400, frequency=50, phases=3), transformer=transformer, **others)


BY_NAME |= {
    f"{circuit}, {connection or 'no transformer'}": three_phase(circuit, connection)  # type: ignore[arg-type]
    for circuit in ("three-phase-half-wave", "three-phase-bridge")
    for connection in (None, "star-star", "delta-star", "star-delta", "delta-delta")
    if not (circuit == "three-phase-half-wave" and connection is not None and connection.endswith("-delta"))
}
BY_NAME |= {
    "three phases, fuse before the transformer": three_phase("three-phase-bridge", "delta-star", fuse=Fuse(rating=10)),
    "three phases, fuse behind it": three_phase(
        "three-phase-half-wave", "star-star", fuse=Fuse(rating=10, side="secondary")
    ),
    "three lines with a fuse": three_phase("three-phase-bridge", None, fuse=Fuse(rating=10), filters=(L, C)),
}  # fmt: skip
BY_NAME["three phases from a generator"] = supply(
    "three-phase-bridge", mains=Mains(voltage=200, frequency=400, phases=3, source="generator"),
    transformer=Transformer(secondary_voltage=11, connection="delta-delta"),
)  # fmt: skip

# ---------------------------------------------------------------- networks of one's own


def element(kind: str, name: str, start: str, end: str, **keys: object) -> str:
    """One `[[element]]` table as text."""
    lines = [f'kind = "{kind}"', f'name = "{name}"', f'from = "{start}"', f'to = "{end}"']
    lines += [f"{key} = {value}" for key, value in keys.items()]
    return "[[element]]\n" + "\n".join(lines) + "\n"


def network(title: str, common: str, output: tuple[str, str], *elements: str) -> Supply:
    """A sheet of elements, read."""
    head = f'title = "{title}"\n[network]\ncommon = "{common}"\noutput = ["{output[0]}", "{output[1]}"]\n'
    return read_text(head + "".join(elements))


def source(name: str = "V1", start: str = "in", end: str = "0", wave: str = "sine") -> str:
    """Twelve volts from an adapter with a little resistance."""
    keys = {"voltage": '"12 V"', "source": '"adapter"', "waveform": f'"{wave}"', "source_resistance": '"0.5 ohm"'}
    if wave != "dc":
        keys["frequency"] = '"50 Hz"'
    return element("source", name, start, end, **keys)


def resistor(name: str, start: str, end: str, value: str = "1 kohm") -> str:
    """[ohm]"""
    return element("resistor", name, start, end, resistance=f'"{value}"')


def capacitor(name: str, start: str, end: str, value: str = "470 uF") -> str:
    """[F]"""
    return element("capacitor", name, start, end, capacitance=f'"{value}"')


def diode(name: str, anode: str, cathode: str) -> str:
    """Of 0.7 V."""
    return element("diode", name, anode, cathode, diode='{ drop = "0.7 V" }')


OWN_NETWORKS: dict[str, Supply] = {
    "ladder with a part across a diode": network(
        "Half-wave with a bypassed diode", "0", ("out", "0"), source(), diode("D1", "in", "out"),
        resistor("RS", "in", "out", "100 kohm"), capacitor("C1", "out", "0"), resistor("R1", "out", "0"),
    ),
    "clamper": network(
        "Clamper", "0", ("out", "0"), source(), capacitor("C1", "out", "in", "10 uF"), diode("D1", "0", "out"),
        resistor("R1", "out", "0", "100 kohm"),
    ),
    "clipper": network(
        "Two-sided clipper", "0", ("out", "0"), source(wave="triangle"), resistor("R1", "in", "out"),
        element("zener", "Z1", "0", "out", zener_voltage='"5.1 V"'),
        element("battery", "B1", "x", "0", battery='"3 V"', battery_resistance='"0.1 ohm"'), diode("D1", "x", "out"),
        resistor("R2", "out", "0", "10 kohm"),
    ),
    "isolated by a core": network(
        "Isolated half-wave", "0", ("out", "0"), source("V1", "p", "n"),
        element("winding", "N1", "p", "n", core='"T1"', turns=230),
        element("winding", "N2", "s", "0", core='"T1"', turns=24), diode("D1", "s", "out"),
        capacitor("C1", "out", "0"), element("switch", "S1", "out", "lamp", closed="true"),
        resistor("R1", "lamp", "0", "100 ohm"),
    ),
    "core with a common return": network(
        "Step-down by a core", "0", ("s", "0"), source("V1", "p"),
        element("winding", "N1", "p", "0", core='"T1"', turns=100),
        element("winding", "N2", "0", "s", core='"T1"', turns=50),
        resistor("R1", "s", "0"),
    ),
    "pi filter": network(
        "Filter", "0", ("out", "0"), source(), diode("D1", "in", "a"), capacitor("C1", "a", "0"),
        element("choke", "L1", "a", "b", inductance='"100 mH"', resistance='"2 ohm"'), capacitor("C2", "b", "0"),
        resistor("R1", "b", "out", "10 ohm"), capacitor("C3", "out", "0"), resistor("R2", "out", "0", "220 ohm"),
    ),
    "bench source with an open switch": network(
        "Open", "0", ("out", "0"), source(wave="dc"), element("switch", "S1", "in", "out", closed="false"),
        element("current-load", "I1", "out", "0", current='"10 mA"'),
    ),
    "bridge of elements": network(
        "Bridge of elements", "neg", ("pos", "neg"), source("V1", "a", "b"), diode("D1", "a", "pos"),
        diode("D2", "b", "pos"), diode("D3", "neg", "a"), diode("D4", "neg", "b"), capacitor("C1", "pos", "neg"),
        element("current-load", "I1", "pos", "neg", current='"0.1 A"'),
    ),
    "two sources": network(
        "Two sources", "0", ("out", "0"), source("V1", "a", "0"), source("V2", "0", "b"), diode("D1", "a", "out"),
        diode("D2", "b", "out"), resistor("R1", "out", "0"),
    ),
}  # fmt: skip
#: Those that are no ladder.
NODE_RAILS = ("bridge of elements", "two sources")
BY_NAME |= OWN_NETWORKS


@st.composite
def any_network(draw: st.DrawFn) -> Supply:
    """A source, and up to nine parts of any kind between up to six nodes: each node has two parts at least."""
    nodes = ["in", "0", *draw(st.sampled_from([(), ("a",), ("a", "b"), ("a", "b", "c"), ("a", "b", "c", "out")]))]
    parts = [source()]
    makers = {"R": resistor, "C": capacitor, "D": diode}
    for number, node in enumerate(nodes):
        # A ring through all nodes leaves none hanging.
        parts.append(resistor(f"R{number + 1}", node, nodes[(number + 1) % len(nodes)]))
    for number in range(draw(st.integers(0, 4))):
        letter = draw(st.sampled_from("CD"))
        one, other = draw(st.lists(st.sampled_from(nodes), min_size=2, max_size=2, unique=True))
        parts.append(makers[letter](f"{letter}{number + 1}", one, other))
    return network("Any network", "0", (nodes[-1] if nodes[-1] != "0" else "in", "0"), *parts)


sections = st.builds(
    FilterSection,
    kind=st.sampled_from(["capacitor", "resistor", "choke", "bleeder"]),
    value=st.sampled_from([4.7, 1e-3, 2200e-6, 33.0, 1.0, 0.047]),
    rail=st.sampled_from(["both", "positive", "negative"]),
    fitted=st.booleans(),
)
regulators = st.none() | st.builds(
    Regulator,
    kind=st.sampled_from(["series", "zener"]),
    output=st.just(5.0),
    series_resistor=st.just(47.0),
    zener_voltage=st.just(5.1),
)
any_load = st.builds(
    Load, kind=st.sampled_from(["resistance", "current", "power", "battery", "pulses"]), value=st.just(3.3)
) | st.just(Load(kind="none"))
fuses = st.none() | st.builds(Fuse, rating=st.sampled_from([0.1, 6.3]), side=st.sampled_from(["primary", "secondary"]))


@st.composite
def chains(draw: st.DrawFn) -> Supply:
    """Any circuit with up to four filter sections, a regulator, a fuse, and any load."""
    circuit = draw(st.sampled_from((*CIRCUITS, "multiplier", "three-phase-half-wave", "three-phase-bridge")))
    both = circuit in ("dual-rail", "dual-half-wave")
    regulator, other = draw(regulators), draw(regulators)
    connections = [None, "star-star", "delta-star"]
    if circuit == "three-phase-bridge":
        connections += ["star-delta", "delta-delta"]
    connection = draw(st.sampled_from(connections))
    made = functools.partial(three_phase, connection=connection) if circuit.startswith("three-phase") else supply
    return made(
        circuit,
        filters=tuple(draw(st.lists(sections, max_size=4))),
        regulator=None if both else regulator,
        regulator_positive=regulator if both else None,
        regulator_negative=other if both else None,
        fuse=draw(fuses),
        loads=Loads(single=draw(any_load)),
    )


def examples() -> dict[str, Supply]:
    """The examples that ship, by file name."""
    return {path.stem: read_sheet(path) for path in EXAMPLES}
