"""Supplies for the tests of schematic and path: one of each circuit, and chains at random."""

from __future__ import annotations

from pathlib import Path

from hypothesis import strategies as st

from railwright.supply import read_sheet
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
    circuit = draw(st.sampled_from(CIRCUITS))
    both = circuit in ("dual-rail", "dual-half-wave")
    regulator, other = draw(regulators), draw(regulators)
    return supply(
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
