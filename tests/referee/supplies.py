"""Supplies as sheets, each with the referee's equations for the same circuit and what to compare.

The supplies are invented; nothing but the two descriptions of one circuit meets here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from referee import circuits
from referee.circuits import Rail, sine
from referee.integration import Circuit
from referee.measuring import SteadyPeriod

#: A reading id, the measure of the referee and the output that it is taken of.
Comparison = tuple[str, str, str]


@dataclass(frozen=True, kw_only=True)
class RefereedSupply:
    """One supply twice: as a sheet and as hand-written equations."""

    sheet: str
    circuit: Callable[[], Circuit]
    compare: tuple[Comparison, ...]
    faults: tuple[str, ...] = ()


def _rail(place: str) -> tuple[Comparison, ...]:
    return (
        (f"{place}.voltage.mean", "mean", f"{place}.voltage"),
        (f"{place}.voltage.ripple_peak_to_peak", "ripple", f"{place}.voltage"),
        (f"{place}.voltage.rms", "rms", f"{place}.voltage"),
    )


def _diode(name: str) -> tuple[Comparison, ...]:
    return (
        (f"{name}.current.mean", "mean", f"{name}.current"),
        (f"{name}.current.rms", "rms", f"{name}.current"),
        (f"{name}.current.peak", "peak", f"{name}.current"),
        (f"{name}.conduction.angle", "conduction_angle", name),
    )


def _current(place: str) -> tuple[Comparison, ...]:
    return (
        (f"{place}.current.rms", "rms", f"{place}.current"),
        (f"{place}.current.peak", "peak", f"{place}.current"),
    )


_LOAD, _D1 = _rail("load"), _diode("D1")
_MAINS = (("mains.current.rms", "rms", "mains.current"),)
_C1 = (("C1.current.rms", "rms", "C1.current"),)
_REVERSE = (("D1.reverse_voltage.peak", "maximum", "D1.reverse"),)
_CHOKE = (
    ("L1.current.mean", "mean", "L1.current"),
    ("L1.current.rms", "rms", "L1.current"),
    ("L1.current.peak", "peak", "L1.current"),
    ("L1.current.valley", "minimum", "L1.current"),
)

SUPPLIES: dict[str, RefereedSupply] = {
    "reservoir bridge": RefereedSupply(
        sheet="""
            title = "Harbour lamp, a plain bridge"
            mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter", source_resistance = "0.4 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "2200 uF", esr = "0.04 ohm" }]
            load = { resistance = "100 ohm" }
        """,
        circuit=lambda: circuits.bridge_reservoir(
            sine(12 * math.sqrt(2), 50.0),
            50.0,
            source=0.4,
            drop=0.7,
            resistance=0.05,
            rail=Rail(capacitance=2200e-6, esr=0.04, load=100.0),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, *_REVERSE),
    ),
    "bridge with choke pi and source inductance": RefereedSupply(
        sheet="""
            title = "Beacon receiver, capacitor, choke, capacitor"
            mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter", source_resistance = "0.4 ohm", \
source_inductance = "100 uH" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "1000 uF", esr = "0.04 ohm" }, { choke = "50 mH", resistance = "2 ohm" }, \
{ capacitor = "1000 uF", esr = "0.04 ohm" }]
            load = { resistance = "27 ohm" }
        """,
        circuit=lambda: circuits.bridge_pi(
            sine(12 * math.sqrt(2), 50.0),
            50.0,
            source=0.4,
            inductance=100e-6,
            drop=0.7,
            resistance=0.05,
            first=(1e-3, 0.04),
            choke=(50e-3, 2.0),
            last=Rail(capacitance=1e-3, esr=0.04, load=27.0),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, *_rail("C1"), *_CHOKE, ("C2.current.rms", "rms", "C2.current")),
    ),
    "half-wave": RefereedSupply(
        sheet="""
            title = "Buoy test set, half-wave"
            mains = { voltage = "9 V", frequency = "60 Hz", source = "adapter", source_resistance = "1.2 ohm" }
            rectifier = { circuit = "half-wave", diode = { drop = "0.65 V", resistance = "0.1 ohm" } }
            filter = [{ capacitor = "470 uF", esr = "0.15 ohm" }]
            load = { resistance = "150 ohm" }
        """,
        circuit=lambda: circuits.bridge_reservoir(
            sine(9 * math.sqrt(2), 60.0),
            60.0,
            source=1.2,
            drop=0.65,
            resistance=0.1,
            rail=Rail(capacitance=470e-6, esr=0.15, load=150.0),
            drops=1,
            halves=(1,),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, *_REVERSE),
    ),
    "centre tap with resistance on both sides": RefereedSupply(
        sheet="""
            title = "Depth sounder, centre tap"
            mains = { voltage = "230 V", frequency = "50 Hz", source_resistance = "2 ohm" }
            transformer = { turns_ratio = "18:1", secondary = "centre-tapped", primary_resistance = "38 ohm", \
secondary_resistance = "0.35 ohm" }
            rectifier = { circuit = "centre-tap", diode = { drop = "0.8 V", resistance = "0.04 ohm" } }
            filter = [{ capacitor = "3300 uF", esr = "0.03 ohm" }]
            load = { resistance = "22 ohm" }
        """,
        circuit=lambda: circuits.centre_tap_reservoir(
            sine(230 * math.sqrt(2), 50.0),
            50.0,
            primary=40.0,
            ratio=18.0,
            section=0.35,
            drop=0.8,
            resistance=0.04,
            rail=Rail(capacitance=3300e-6, esr=0.03, load=22.0),
        ),
        compare=(
            *_LOAD,
            *_D1,
            *_C1,
            *_MAINS,
            *_REVERSE,
            ("tap.current.mean", "mean", "tap.current"),
            ("tap.current.rms", "rms", "tap.current"),
        ),
    ),  # fmt: skip
    "dual rail with unequal loads": RefereedSupply(
        sheet="""
            title = "Fog-bell amplifier, one rail loaded more"
            mains = { voltage = "230 V", frequency = "50 Hz" }
            transformer = { turns_ratio = "15:1", secondary = "centre-tapped", primary_resistance = "60 ohm", \
secondary_resistance = "0.5 ohm" }
            rectifier = { circuit = "dual-rail", diode = { drop = "0.7 V", resistance = "0.03 ohm" } }
            filter = [{ capacitor = "2200 uF", esr = "0.05 ohm" }]
            load = { positive = { resistance = "33 ohm" }, negative = { resistance = "120 ohm" } }
        """,
        circuit=lambda: circuits.dual_rail(
            sine(230 * math.sqrt(2), 50.0),
            50.0,
            primary=60.0,
            ratio=15.0,
            section=0.5,
            drop=0.7,
            resistance=0.03,
            positive=Rail(capacitance=2200e-6, esr=0.05, load=33.0),
            negative=Rail(capacitance=2200e-6, esr=0.05, load=120.0),
        ),
        compare=(
            *_rail("load_positive"),
            *_rail("load_negative"),
            *_rail("load_across"),
            *_D1,
            *_diode("D4"),
            *_C1,
            ("C2.current.rms", "rms", "C2.current"),
            *_MAINS,
            ("tap.current.mean", "mean", "tap.current"),
            ("tap.current.rms", "rms", "tap.current"),
        ),
    ),  # fmt: skip
    "dual half-wave with unequal loads": RefereedSupply(
        sheet="""
            title = "Fog-horn synthesiser, two rails from one adapter"
            mains = { voltage = "12 V", frequency = "60 Hz", source = "adapter", source_resistance = "0.8 ohm" }
            rectifier = { circuit = "dual-half-wave", diode = { drop = "0.7 V", resistance = "0.08 ohm" } }
            filter = [{ capacitor = "1000 uF", esr = "0.1 ohm", rail = "positive" }, \
{ capacitor = "2200 uF", esr = "0.06 ohm", rail = "negative" }]
            load = { positive = { resistance = "82 ohm" }, negative = { resistance = "180 ohm" } }
        """,
        circuit=lambda: circuits.dual_half_wave(
            sine(12 * math.sqrt(2), 60.0),
            60.0,
            source=0.8,
            drop=0.7,
            resistance=0.08,
            positive=Rail(capacitance=1000e-6, esr=0.1, load=82.0),
            negative=Rail(capacitance=2200e-6, esr=0.06, load=180.0),
        ),
        compare=(
            *_rail("load_positive"),
            *_rail("load_negative"),
            *_rail("load_across"),
            *_D1,
            *_diode("D2"),
            *_C1,
            ("C2.current.rms", "rms", "C2.current"),
            ("mains.current.mean", "mean", "mains.current"),
            *_MAINS,
        ),
    ),  # fmt: skip
    "choke input, continuous": RefereedSupply(
        sheet="""
            title = "Beacon transmitter, choke input"
            mains = { voltage = "24 V", frequency = "50 Hz", source = "generator", source_resistance = "0.6 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.06 ohm" } }
            filter = [{ choke = "120 mH", resistance = "1.5 ohm" }, { capacitor = "1000 uF", esr = "0.08 ohm" }]
            load = { resistance = "40 ohm" }
        """,
        circuit=lambda: circuits.bridge_choke_input(
            sine(24 * math.sqrt(2), 50.0),
            50.0,
            source=0.6,
            drop=0.7,
            resistance=0.06,
            choke=(120e-3, 1.5),
            rail=Rail(capacitance=1000e-6, esr=0.08, load=40.0),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, *_CHOKE),
    ),
    "choke input, discontinuous": RefereedSupply(
        sheet="""
            title = "Beacon transmitter at rest, choke input"
            mains = { voltage = "24 V", frequency = "50 Hz", source = "generator", source_resistance = "0.6 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.06 ohm" } }
            filter = [{ choke = "120 mH", resistance = "1.5 ohm" }, { capacitor = "470 uF", esr = "0.08 ohm" }]
            load = { resistance = "560 ohm" }
        """,
        circuit=lambda: circuits.bridge_choke_input(
            sine(24 * math.sqrt(2), 50.0),
            50.0,
            source=0.6,
            drop=0.7,
            resistance=0.06,
            choke=(120e-3, 1.5),
            rail=Rail(capacitance=470e-6, esr=0.08, load=560.0),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, *_CHOKE, ("L1.conduction.angle", "twice_conduction_angle", "D1")),
    ),
    "choke input with commutation through a source inductance": RefereedSupply(
        sheet="""
            title = "Winch brake, choke input behind a long line"
            mains = { voltage = "24 V", frequency = "60 Hz", source = "generator", source_resistance = "0.3 ohm", \
source_inductance = "1.5 mH" }
            rectifier = { circuit = "bridge", diode = { drop = "0.8 V", resistance = "0.05 ohm" } }
            filter = [{ choke = "60 mH", resistance = "0.8 ohm" }, { capacitor = "2200 uF", esr = "0.05 ohm" }]
            load = { resistance = "10 ohm" }
        """,
        circuit=lambda: circuits.bridge_choke_input(
            sine(24 * math.sqrt(2), 60.0),
            60.0,
            source=0.3,
            drop=0.8,
            resistance=0.05,
            choke=(60e-3, 0.8),
            rail=Rail(capacitance=2200e-6, esr=0.05, load=10.0),
            inductance=1.5e-3,
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, *_CHOKE),
    ),
    "resistor pi with a bleeder": RefereedSupply(
        sheet="""
            title = "Moth counter, resistor between two capacitors"
            mains = { voltage = "15 V", frequency = "50 Hz", source = "adapter", source_resistance = "1 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "470 uF", esr = "0.12 ohm" }, { resistor = "22 ohm" }, \
{ capacitor = "1000 uF", esr = "0.07 ohm" }, { bleeder = "2.2 kohm" }]
            load = { resistance = "330 ohm" }
        """,
        circuit=lambda: circuits.bridge_resistor_pi(
            sine(15 * math.sqrt(2), 50.0),
            50.0,
            source=1.0,
            drop=0.7,
            resistance=0.05,
            first=(470e-6, 0.12),
            resistor=22.0,
            last=Rail(capacitance=1000e-6, esr=0.07, load=1 / (1 / 2200 + 1 / 330)),
        ),
        compare=(
            *_LOAD,
            *_D1,
            *_C1,
            *_MAINS,
            *_rail("C1"),
            ("C2.current.rms", "rms", "C2.current"),
            ("R1.current.rms", "rms", "R1.current"),
        ),
    ),  # fmt: skip
    "constant current that reaches its floor": RefereedSupply(
        sheet="""
            title = "Tally counter on too small a capacitor"
            mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter", source_resistance = "0.5 ohm" }
            rectifier = { circuit = "half-wave", diode = { drop = "0.7 V", resistance = "0.1 ohm" } }
            filter = [{ capacitor = "100 uF" }]
            load = { current = "120 mA", minimum_voltage = "4 V" }
        """,
        circuit=lambda: circuits.current_load(
            sine(12 * math.sqrt(2), 50.0),
            50.0,
            source=0.5,
            drop=0.7,
            resistance=0.1,
            capacitance=100e-6,
            current=0.12,
            floor=4.0,
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, ("load.current.mean", "mean", "load.current")),
    ),
    "constant current on a bridge": RefereedSupply(
        sheet="""
            title = "Intercom amplifier"
            mains = { voltage = "18 V", frequency = "60 Hz", source = "adapter", source_resistance = "0.7 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.75 V", resistance = "0.06 ohm" } }
            filter = [{ capacitor = "2200 uF" }]
            load = { current = "0.5 A" }
        """,
        circuit=lambda: circuits.current_load(
            sine(18 * math.sqrt(2), 60.0),
            60.0,
            source=0.7,
            drop=0.75,
            resistance=0.06,
            capacitance=2200e-6,
            current=0.5,
            floor=0.5,
            drops=2,
            halves=(1, -1),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS),
    ),
    "bridge with D2 open": RefereedSupply(
        sheet="""
            title = "Signal lamp with a dead diode"
            mains = { voltage = "24 V", frequency = "60 Hz", source = "adapter", source_resistance = "0.9 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "1000 uF", esr = "0.06 ohm" }]
            load = { resistance = "68 ohm" }
        """,
        faults=("D2 open",),
        circuit=lambda: circuits.bridge_reservoir(
            sine(24 * math.sqrt(2), 60.0),
            60.0,
            source=0.9,
            drop=0.7,
            resistance=0.05,
            rail=Rail(capacitance=1000e-6, esr=0.06, load=68.0),
            halves=(1,),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, ("D4.current.rms", "rms", "D1.current")),
    ),
    "bridge with D1 open": RefereedSupply(
        sheet="""
            title = "Signal lamp with the other diode dead"
            mains = { voltage = "24 V", frequency = "60 Hz", source = "adapter", source_resistance = "0.9 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "1000 uF", esr = "0.06 ohm" }]
            load = { resistance = "68 ohm" }
        """,
        faults=("D1 open",),
        circuit=lambda: circuits.bridge_reservoir(
            sine(24 * math.sqrt(2), 60.0),
            60.0,
            source=0.9,
            drop=0.7,
            resistance=0.05,
            rail=Rail(capacitance=1000e-6, esr=0.06, load=68.0),
            halves=(-1,),
        ),
        compare=(*_LOAD, *_diode("D2"), *_C1, *_MAINS, ("D3.current.rms", "rms", "D2.current")),
    ),
    "capacitor dried out": RefereedSupply(
        sheet="""
            title = "Tide-gauge logger after ten years"
            mains = { voltage = "9 V", frequency = "50 Hz", source = "adapter", source_resistance = "0.8 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "1000 uF", esr = "0.05 ohm" }]
            load = { resistance = "60 ohm" }
        """,
        faults=("C1 dried=150uF/3.5ohm",),
        circuit=lambda: circuits.bridge_reservoir(
            sine(9 * math.sqrt(2), 50.0),
            50.0,
            source=0.8,
            drop=0.7,
            resistance=0.05,
            rail=Rail(capacitance=150e-6, esr=3.5, load=60.0),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS),
    ),
    "flattened mains": RefereedSupply(
        sheet="""
            title = "Tide-gauge logger on a flat-topped line"
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "1500 uF", esr = "0.05 ohm" }]
            load = { resistance = "47 ohm" }
            [mains]
            voltage = "12 V"
            frequency = "50 Hz"
            source = "generator"
            source_resistance = "0.5 ohm"
            harmonics = [{ order = 3, ratio = 0.04, phase = 10 }, { order = 5, ratio = 0.025, phase = 170 }]
        """,
        circuit=lambda: circuits.bridge_reservoir(
            # `voltage` is the RMS of the whole EMF, the ratios are to its fundamental.
            sine(12 * math.sqrt(2 / (1 + 0.04**2 + 0.025**2)), 50.0, ((3, 0.04, 10.0), (5, 0.025, 170.0))),
            50.0,
            source=0.5,
            drop=0.7,
            resistance=0.05,
            rail=Rail(capacitance=1500e-6, esr=0.05, load=47.0),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, ("mains.voltage.rms", "rms", "mains.voltage")),
    ),
    "half-wave that magnetizes its transformer": RefereedSupply(
        sheet="""
            title = "Half-wave behind a transformer with a real core"
            mains = { voltage = "230 V", frequency = "50 Hz" }
            transformer = { turns_ratio = "20:1", primary_resistance = "90 ohm", secondary_resistance = "0.4 ohm", \
magnetizing_inductance = "8 H" }
            rectifier = { circuit = "half-wave", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "2200 uF", esr = "0.04 ohm" }]
            load = { resistance = "56 ohm" }
        """,
        circuit=lambda: circuits.magnetized_half_wave(
            sine(230 * math.sqrt(2), 50.0),
            50.0,
            primary=90.0,
            magnetizing=8.0,
            ratio=20.0,
            section=0.4,
            drop=0.7,
            resistance=0.05,
            rail=Rail(capacitance=2200e-6, esr=0.04, load=56.0),
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, ("T1.magnetizing.current.peak", "peak", "magnetizing.current")),
    ),
    "full-wave doubler": RefereedSupply(
        sheet="""
            title = "Moth counter, doubled"
            mains = { voltage = "12 V", frequency = "50 Hz", source = "generator", source_resistance = "0.4 ohm" }
            load = { resistance = "1 kohm" }
            [rectifier]
            circuit = "full-wave-doubler"
            diode = { drop = "0.7 V", resistance = "0.05 ohm" }
            stage_capacitor = "470 uF"
            stage_esr = "0.04 ohm"
        """,
        circuit=lambda: circuits.full_wave_doubler(
            sine(12 * math.sqrt(2), 50.0),
            50.0,
            source=0.4,
            drop=0.7,
            resistance=0.05,
            capacitance=470e-6,
            esr=0.04,
            load=1000.0,
        ),
        compare=(*_LOAD, *_D1, *_diode("D2"), *_C1, *_MAINS),
    ),
    "regulator that drops out": RefereedSupply(
        sheet="""
            title = "Tide-gauge logger on a weak adapter"
            mains = { voltage = "8 V", frequency = "50 Hz", source = "adapter", source_resistance = "0.6 ohm" }
            rectifier = { circuit = "bridge", diode = { drop = "0.7 V", resistance = "0.05 ohm" } }
            filter = [{ capacitor = "1000 uF", esr = "0.05 ohm" }]
            regulator = { kind = "series", output = "5 V", dropout = "2 V" }
            load = { resistance = "8 ohm" }
        """,
        circuit=lambda: circuits.bridge_regulator(
            sine(8 * math.sqrt(2), 50.0),
            50.0,
            source=0.6,
            drop=0.7,
            resistance=0.05,
            capacitance=1000e-6,
            esr=0.05,
            output=5.0,
            dropout=2.0,
            load=8.0,
        ),
        compare=(*_LOAD, *_D1, *_C1, *_MAINS, *_rail("C1"), ("U1.power.mean", "mean", "U1.power")),
    ),
}


_PHYSICAL_DIODE = 'saturation_current = "1 nA", ideality = 1.8, junction_temperature = "26.85 °C"'

#: n k T / q of that diode at 26.85 °C, that is 300 K, with the exact SI constants. [V]
_SLOPE_VOLTAGE = 1.8 * 1.380649e-23 * 300.0 / 1.602176634e-19

_PHYSICAL = (
    *_LOAD[:2],
    ("D1.current.mean", "mean", "D1.current"),
    ("D1.current.rms", "rms", "D1.current"),
    ("D1.current.peak", "peak", "D1.current"),
    ("D1.conduction.angle", "angle_above_one_percent", "D1.current"),
    *_C1,
)

#: The same for `physical`: diodes with the exponential law.
PHYSICAL_SUPPLIES: dict[str, RefereedSupply] = {
    "exponential reservoir bridge": RefereedSupply(
        sheet=f"""
            title = "Harbour lamp, with real diodes"
            mains = {{ voltage = "12 V", frequency = "50 Hz", source = "adapter", source_resistance = "0.4 ohm" }}
            rectifier = {{ circuit = "bridge", diode = {{ {_PHYSICAL_DIODE}, series_resistance = "0.05 ohm" }} }}
            filter = [{{ capacitor = "2200 uF", esr = "0.04 ohm", leakage = "0 A" }}]
            load = {{ resistance = "100 ohm" }}
        """,
        circuit=lambda: circuits.exponential_reservoir(
            sine(12 * math.sqrt(2), 50.0),
            50.0,
            source=0.4,
            saturation=1e-9,
            slope_voltage=_SLOPE_VOLTAGE,
            resistance=0.05,
            rail=Rail(capacitance=2200e-6, esr=0.04, load=100.0),
        ),
        compare=_PHYSICAL,
    ),
    "exponential half-wave": RefereedSupply(
        sheet=f"""
            title = "Buoy test set, with a real diode"
            mains = {{ voltage = "24 V", frequency = "60 Hz", source = "adapter", source_resistance = "1.5 ohm" }}
            rectifier = {{ circuit = "half-wave", diode = {{ {_PHYSICAL_DIODE}, series_resistance = "0.08 ohm" }} }}
            filter = [{{ capacitor = "330 uF", esr = "0.2 ohm", leakage = "0 A" }}]
            load = {{ resistance = "470 ohm" }}
        """,
        circuit=lambda: circuits.exponential_reservoir(
            sine(24 * math.sqrt(2), 60.0),
            60.0,
            source=1.5,
            saturation=1e-9,
            slope_voltage=_SLOPE_VOLTAGE,
            resistance=0.08,
            rail=Rail(capacitance=330e-6, esr=0.2, load=470.0),
            drops=1,
        ),
        compare=_PHYSICAL,
    ),
}


@cache
def referee(name: str) -> SteadyPeriod:
    """The referee's steady period of one of the supplies, integrated once per run of the tests."""
    return SteadyPeriod.of((SUPPLIES | PHYSICAL_SUPPLIES)[name].circuit())


def verdict(name: str, measure: str, output: str) -> float:
    """One number of the referee, in the unit of the reading that it is compared with."""
    if measure == "twice_conduction_angle":
        # A choke fed by a bridge carries current in both halves, each as long as D1's.
        return 2 * referee(name).conduction_angle(output)
    return float(getattr(referee(name), measure)(output))
