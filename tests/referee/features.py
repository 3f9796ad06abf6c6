"""One supply for each feature of the sheet: its text, and the same circuit listed part by part for the referee.

The supplies are invented; nothing but the two descriptions of one circuit meets here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial

from referee.collocation import NodalPeriod
from referee.nodal import Drive, Nodal

#: A reading id, a measure of the referee and what it is taken of: "i:D1", "v:positive", or two nodes "a>b".
Comparison = tuple[str, str, str]
Nodes = dict[str, float]

#: n k T / q at 26.85 °C, that is 300 K, for an ideality of 1.8, with the exact SI constants. [V]
SLOPE_VOLTAGE = 1.8 * 1.380649e-23 * 300.0 / 1.602176634e-19
#: [A]
SATURATION = 1e-9
_REAL = 'saturation_current = "1 nA", ideality = 1.8, junction_temperature = "26.85 °C"'


@dataclass(frozen=True, kw_only=True)
class Feature:
    """One supply twice. ``compare`` gives readings; a place alone stands for all of its usual ones."""

    sheet: str
    build: Callable[[], Nodal]
    compare: tuple[str | Comparison, ...]
    faults: tuple[str, ...] = ()
    model: str = "textbook"


def sine(volts: float, frequency: float, lag: float = 0.0) -> Drive:
    """An EMF of ``volts`` RMS, ``lag`` degrees behind."""
    peak, omega, behind = volts * math.sqrt(2.0), 2.0 * math.pi * frequency, math.radians(lag)
    return lambda t: peak * math.sin(omega * t - behind)


def _bridge(c: Nodal, drop: float = 0.7, ohms: float = 0.05, a: str = "a", b: str = "b") -> None:
    for name, plus, minus in (
        ("D1", a, "positive"), ("D2", b, "positive"), ("D3", "negative", a), ("D4", "negative", b),
    ):  # fmt: skip
        c.diode(name, plus, minus, drop, ohms)


def _real_bridge(c: Nodal, ohms: float, a: str = "a", b: str = "b") -> None:
    for name, plus, minus in (
        ("D1", a, "positive"), ("D2", b, "positive"), ("D3", "negative", a), ("D4", "negative", b),
    ):  # fmt: skip
        c.exponential_diode(name, plus, minus, SATURATION, SLOPE_VOLTAGE, ohms)


def _simple(frequency: float, emf: Drive, ohms: float, *, ground: str = "negative", breaks: tuple[float, ...] = (),
            periods: int = 1, ends: tuple[str, str] = ("a", "b")) -> Nodal:  # fmt: skip
    c = Nodal(period=periods / frequency, ground=frozenset({ground, "neutral"}), breaks=set(breaks))
    c.source("mains", *ends, emf, ohms)
    return c


def _mains(volts: str, frequency: str, ohms: str, more: str = "") -> str:
    return (
        f'mains = {{ voltage = "{volts}", frequency = "{frequency}", source = "adapter", '
        f'source_resistance = "{ohms}"{more} }}\n'
    )


_DIODE = 'diode = { drop = "0.7 V", resistance = "0.05 ohm" }'
_BRIDGE = f'rectifier = {{ circuit = "bridge", {_DIODE} }}\n'


# -- transformers ---------------------------------------------------------------------------------------------------


def _inductive_transformer() -> Nodal:
    c = Nodal(period=0.02, ground=frozenset({"negative", "neutral"}))
    c.source("mains", "live", "neutral", sine(230.0, 50.0))
    c.resistor("primary", "live", "core", 40.0)
    c.choke("magnetizing", "core", "neutral", 9.0)
    c.winding("turns", "core", "neutral", "emf", "b", 16.0)
    c.choke("leakage", "emf", "behind", 0.4e-3)
    c.resistor("secondary", "behind", "a", 0.3)
    _bridge(c)
    c.capacitor("C1", "positive", "negative", 2200e-6, 0.04)
    c.resistor("load", "positive", "negative", 30.0)
    return c


def _saturating_core() -> Nodal:
    c = Nodal(period=0.02, ground=frozenset({"negative", "neutral"}))
    c.source("mains", "live", "neutral", sine(230.0, 50.0))
    c.resistor("primary", "live", "core", 60.0)
    c.core("magnetizing", "core", "neutral", 12.0, 0.07, 0.5)
    c.winding("turns", "core", "neutral", "emf", "negative", 18.0)
    c.resistor("secondary", "emf", "a", 0.4)
    c.diode("D1", "a", "positive", 0.7, 0.05)
    c.capacitor("C1", "positive", "negative", 2200e-6, 0.05)
    c.resistor("load", "positive", "negative", 25.0)
    return c


def _half_shorted() -> Nodal:
    c = Nodal(period=0.02, ground=frozenset({"negative", "neutral"}))
    c.source("mains", "live", "neutral", sine(230.0, 50.0))
    c.resistor("primary", "live", "core", 500.0)
    c.winding("upper", "core", "neutral", "emf", "middle", 32.0)
    c.winding("lower", "core", "neutral", "middle", "b", 32.0)
    # Half the turns keep half the section's resistance on each side; the fault's milliohm joins their ends.
    c.resistor("short", "middle", "b", 1e-3 + 0.2)
    c.resistor("secondary", "emf", "a", 0.2)
    c.choke("magnetizing", "core", "neutral", 1e7)
    _bridge(c)
    c.capacitor("C1", "positive", "negative", 1000e-6, 0.05)
    c.resistor("load", "positive", "negative", 100.0)
    return c


def _tap_to_negative() -> Nodal:
    """A bridge on the whole winding whose tap touches the negative rail: the lower diodes never see their half."""
    c = Nodal(period=0.02, ground=frozenset({"negative", "neutral"}))
    c.source("mains", "live", "neutral", sine(230.0, 50.0), 60.0)
    c.choke("magnetizing", "live", "neutral", 1e6)
    for half, end, ratio in (("upper", "a", 15.0), ("lower", "b", -15.0)):
        c.winding(half, "live", "neutral", f"{half} emf", "negative", ratio)
        c.resistor(f"{half} ohms", f"{half} emf", end, 0.5)
    _bridge(c)
    c.capacitor("C1", "positive", "negative", 2200e-6, 0.05)
    c.resistor("load", "positive", "negative", 68.0)
    return c


# -- multipliers ----------------------------------------------------------------------------------------------------


def _half_wave_doubler() -> Nodal:
    c = _simple(50.0, sine(12.0, 50.0), 0.6, ends=("a", "negative"))
    c.capacitor("C1", "pump", "a", 220e-6, 0.1)
    c.capacitor("C2", "positive", "negative", 470e-6, 0.08)
    c.diode("D1", "negative", "pump", 0.7, 0.05)
    c.diode("D2", "pump", "positive", 0.7, 0.05)
    c.resistor("load", "positive", "negative", 820.0)
    return c


def _multiplier(stages: int = 3, esr: float = 0.04, load: float = 22e3, *, curved: bool = False) -> Nodal:
    c = _simple(50.0, sine(12.0, 50.0), 0.4, ends=("a", "negative"))
    below, before = "negative", "a"
    for k in range(1, stages + 1):
        knot, above = f"pump{k}", "positive" if k == stages else f"stage{k}"
        c.capacitor(f"C{2 * k - 1}", knot, before, 100e-6, esr)
        c.capacitor(f"C{2 * k}", above, below, 100e-6, esr)
        for name, plus, minus in ((f"D{2 * k - 1}", below, knot), (f"D{2 * k}", knot, above)):
            if curved:
                c.exponential_diode(name, plus, minus, SATURATION, SLOPE_VOLTAGE, 0.05)
            else:
                c.diode(name, plus, minus, 0.7, 0.05)
        below, before = above, knot
    c.resistor("load", "positive", "negative", load)
    return c


# -- three phases ---------------------------------------------------------------------------------------------------


def _three_phase_bridge() -> Nodal:
    c = Nodal(period=1 / 60.0, ground=frozenset({"negative"}))
    for k in (1, 2, 3):
        c.source(f"mains_l{k}", f"emf{k}", "star", sine(48.0 / math.sqrt(3.0), 60.0, 120.0 * (k - 1)), 0.2)
        c.choke(f"line{k}", f"emf{k}", f"l{k}", 0.5e-3)
    for name, plus, minus in (
        ("D1", "l1", "positive"), ("D2", "negative", "l3"), ("D3", "l2", "positive"),
        ("D4", "negative", "l1"), ("D5", "l3", "positive"), ("D6", "negative", "l2"),
    ):  # fmt: skip
        c.diode(name, plus, minus, 0.8, 0.03)
    c.capacitor("C1", "positive", "negative", 1000e-6, 0.05)
    c.resistor("load", "positive", "negative", 20.0)
    return c


def _three_phase_half_wave() -> Nodal:
    c = Nodal(period=0.02, ground=frozenset({"negative", "neutral"}))
    for k in (1, 2, 3):
        c.source(f"mains_l{k}", f"l{k}", "neutral", sine(400.0 / math.sqrt(3.0), 50.0, 120.0 * (k - 1)))
        c.resistor(f"primary{k}", f"l{k}", f"core{k}", 3.0)
        c.choke(f"magnetizing{k}", f"core{k}", "neutral", 4.0)
        c.winding(f"turns{k}", f"core{k}", "neutral", f"w{k}", "negative", 8.0)
        c.choke(f"leakage{k}", f"w{k}", f"x{k}", 0.2e-3)
        c.resistor(f"section{k}", f"x{k}", f"s{k}", 0.1)
        c.diode(f"D{k}", f"s{k}", "positive", 0.8, 0.03)
    c.choke("L1", "positive", "output", 10e-3, 0.2)
    c.capacitor("C1", "output", "negative", 2200e-6, 0.05)
    c.resistor("load", "output", "negative", 6.0)
    return c


# -- waveforms of the mains -----------------------------------------------------------------------------------------


def _harmonics() -> Nodal:
    peak = 15.0 * math.sqrt(2.0 / (1.0 + 0.05**2 + 0.03**2))  # `voltage` is the RMS of the whole EMF
    omega = 2.0 * math.pi * 50.0

    def emf(t: float) -> float:
        third = 0.05 * math.sin(3.0 * omega * t + math.radians(200.0))
        fifth = 0.03 * math.sin(5.0 * omega * t + math.radians(40.0))
        return peak * (math.sin(omega * t) + third + fifth)

    c = _simple(50.0, emf, 0.5)
    _bridge(c)
    c.capacitor("C1", "positive", "negative", 1000e-6, 0.06)
    c.choke("L1", "positive", "output", 40e-3, 1.2)
    c.capacitor("C2", "output", "negative", 1000e-6, 0.06)
    c.resistor("load", "output", "negative", 33.0)
    return c


def _square() -> Nodal:
    def emf(t: float) -> float:
        return 15.0 if (t * 400.0) % 1.0 < 0.5 else -15.0

    c = _simple(400.0, emf, 0.5, breaks=(0.5 / 400.0,), ends=("a", "negative"))
    c.diode("D1", "a", "positive", 0.7, 0.05)
    c.capacitor("C1", "positive", "negative", 100e-6, 0.1)
    c.choke("L1", "positive", "output", 2e-3, 0.3)
    c.resistor("load", "output", "negative", 15.0)
    return c


def _triangle() -> Nodal:
    peak = 20.0 * math.sqrt(3.0)

    def emf(t: float) -> float:
        turn = (t * 50.0) % 1.0
        return peak * (4.0 * turn if turn < 0.25 else 2.0 - 4.0 * turn if turn < 0.75 else 4.0 * turn - 4.0)

    c = _simple(50.0, emf, 1.0, breaks=(0.005, 0.015), ends=("a", "negative"))
    c.diode("D1", "a", "positive", 0.7, 0.05)
    c.capacitor("C1", "positive", "negative", 470e-6, 0.1)
    c.resistor("load", "positive", "negative", 220.0)
    return c


# -- regulators -----------------------------------------------------------------------------------------------------


def _dual_feed(real: bool) -> Nodal:
    c = Nodal(period=0.02, ground=frozenset({"zero", "neutral"}))
    c.source("mains", "live", "neutral", sine(230.0, 50.0), 70.0)
    c.choke("magnetizing", "live", "neutral", 2e6)
    for half, end, ratio in (("upper", "a", 20.0), ("lower", "b", -20.0)):
        c.winding(half, "live", "neutral", f"{half} emf", "zero", ratio)
        c.resistor(f"{half} ohms", f"{half} emf", end, 0.4)
    if real:
        _real_bridge(c, 0.05)
    else:
        _bridge(c)
    c.capacitor("C1", "positive", "zero", 1000e-6, 0.06)
    c.capacitor("C2", "zero", "negative", 1000e-6, 0.06)
    return c


def _dual_regulators() -> Nodal:
    c = _dual_feed(real=False)
    c.regulator("U1", "positive", "output", "zero", volts=12.0, dropout=2.0)
    c.regulator("U2", "negative", "output_negative", "zero", volts=9.0, dropout=1.5, side=-1.0)
    c.resistor("load_positive", "output", "zero", 24.0)
    c.resistor("load_negative", "zero", "output_negative", 30.0)
    return c


def _limited_regulators() -> Nodal:
    c = _dual_feed(real=True)
    c.regulator("U1", "positive", "output", "zero", volts=9.0, dropout=1.0, limit=0.25)
    c.regulator("U2", "negative", "output_negative", "zero", volts=9.0, dropout=1.5, side=-1.0)
    c.resistor("load_positive", "output", "zero", 24.0)
    c.resistor("load_negative", "zero", "output_negative", 45.0)
    return c


def _rejection(mean: float) -> Nodal:
    c = _simple(50.0, sine(12.0, 50.0), 0.5)
    _real_bridge(c, 0.05)
    c.capacitor("C1", "positive", "negative", 1000e-6, 0.05)
    c.regulator("U1", "positive", "output", "negative", volts=8.0, dropout=2.0, coupling=0.01, mean=mean)
    c.resistor("load", "output", "negative", 20.0)
    return c


def _ripple_rejection() -> Nodal:
    """The coupled ripple counts from the input's own mean: a few rounds find it."""
    mean = 12.0
    for _ in range(3):
        mean = NodalPeriod(_rejection(mean)).mean("v:positive")
    return _rejection(mean)


def _zener() -> Nodal:
    c = _simple(50.0, sine(12.0, 50.0), 0.6)
    _bridge(c)
    c.capacitor("C1", "positive", "negative", 470e-6, 0.1)
    c.resistor("R1", "positive", "output", 150.0)
    c.zener("Z1", "output", "negative", 6.2, 7.0, 0.7)
    c.resistor("load", "output", "negative", 270.0)
    return c


# -- loads ----------------------------------------------------------------------------------------------------------


def _constant_power() -> Nodal:
    c = _simple(50.0, sine(12.0, 50.0), 0.4)
    _bridge(c)
    c.capacitor("C1", "positive", "negative", 2200e-6, 0.04)
    c.power_load("load", "positive", "negative", 6.0, 5.0)
    return c


def _pulses() -> Nodal:
    breaks = (0.02, 0.035)

    def level(t: float) -> float:
        turn = t % 0.06
        return 0.8 if turn < 0.02 else 0.05 if turn < 0.035 else 0.3

    c = _simple(50.0, sine(15.0, 50.0), 0.6, breaks=breaks, periods=3)
    _bridge(c)
    c.capacitor("C1", "positive", "negative", 2200e-6, 0.05)
    c.current_load("load", "positive", "negative", level, 0.5)
    return c


def _charger() -> Nodal:
    c = _simple(60.0, sine(14.0, 60.0), 0.8)
    _bridge(c)
    c.resistor("R1", "positive", "output", 0.5)
    c.source("battery", "output", "negative", lambda _: 12.6, 0.12)
    return c


def _leaky_capacitor() -> Nodal:
    c = _simple(50.0, sine(24.0, 50.0), 2.0)
    _real_bridge(c, 0.08)
    c.capacitor("C1", "positive", "negative", 47e-6, 0.5)
    c.resistor("leak", "positive", "negative", 50.0 / 2e-3)  # 2 mA at the rated 50 V
    c.resistor("load", "positive", "negative", 10e3)
    return c


# -- probes, own networks, faults -----------------------------------------------------------------------------------


def _probes() -> Nodal:
    """Two probes from the ends of a floating winding to the negative rail, each 20 kohm beside 10 nF."""
    c = Nodal(period=0.02, ground=frozenset({"negative", "neutral"}))
    c.source("mains", "live", "neutral", sine(230.0, 50.0), 80.0)
    c.choke("magnetizing", "live", "neutral", 2e6)
    c.winding("turns", "live", "neutral", "emf", "b", 18.0)
    c.resistor("secondary", "emf", "a", 0.5)
    _bridge(c)
    for name, end in (("M1", "a"), ("M2", "b")):
        c.resistor(f"{name} ohms", end, "negative", 20e3)
        c.capacitor(f"{name} farads", end, "negative", 10e-9)
    c.capacitor("C1", "positive", "negative", 10e-6, 0.5)
    c.resistor("load", "positive", "negative", 15e3)
    return c


def _clamper() -> Nodal:
    c = Nodal(period=0.02, ground=frozenset({"return"}))
    c.source("V1", "line", "return", sine(6.0, 50.0), 50.0)
    c.capacitor("C1", "line", "out", 10e-6, 1.0)
    c.diode("D1", "return", "out", 0.7, 1.0)
    c.resistor("R1", "out", "return", 4.7e3)
    return c


def _leaky_diode() -> Nodal:
    c = _simple(50.0, sine(18.0, 50.0), 0.8)
    _bridge(c)
    c.resistor("leak", "b", "positive", 100.0)
    c.capacitor("C1", "positive", "negative", 1000e-6, 0.05)
    c.resistor("load", "positive", "negative", 82.0)
    return c


def _real_centre_tap() -> Nodal:
    c = Nodal(period=0.02, ground=frozenset({"negative", "neutral"}))
    c.source("mains", "live", "neutral", sine(230.0, 50.0), 40.0)
    c.choke("magnetizing", "live", "neutral", 2e6)
    for name, half, end, ratio in (("D1", "upper", "a", 16.0), ("D2", "lower", "b", -16.0)):
        c.winding(half, "live", "neutral", f"{half} emf", "negative", ratio)
        c.choke(f"{half} leakage", f"{half} emf", f"{half} behind", 0.2e-3)
        c.resistor(f"{half} ohms", f"{half} behind", end, 0.4)
        c.exponential_diode(name, end, "positive", SATURATION, SLOPE_VOLTAGE, 0.04)
    c.capacitor("C1", "positive", "negative", 2200e-6, 0.04)
    c.resistor("load", "positive", "negative", 33.0)
    return c


FEATURES: dict[str, Feature] = {
    "transformer with magnetizing and leakage inductance": Feature(
        sheet=f"""
            mains = {{ voltage = "230 V", frequency = "50 Hz" }}
            transformer = {{ turns_ratio = "16:1", primary_resistance = "40 ohm", secondary_resistance = "0.3 ohm", \
magnetizing_inductance = "9 H", leakage_inductance = "0.4 mH" }}
            {_BRIDGE}
            filter = [{{ capacitor = "2200 uF", esr = "0.04 ohm" }}]
            load = {{ resistance = "30 ohm" }}
        """,
        build=_inductive_transformer,
        compare=("load:positive", "D1", "C1", "mains", ("T1.magnetizing.current.peak", "peak", "i:magnetizing")),
    ),
    "core that saturates under a half-wave": Feature(
        sheet=f"""
            mains = {{ voltage = "230 V", frequency = "50 Hz" }}
            transformer = {{ turns_ratio = "18:1", primary_resistance = "60 ohm", secondary_resistance = "0.4 ohm", \
magnetizing_inductance = "12 H", saturation_current = "70 mA", saturated_inductance = "0.5 H" }}
            rectifier = {{ circuit = "half-wave", {_DIODE} }}
            filter = [{{ capacitor = "2200 uF", esr = "0.05 ohm" }}]
            load = {{ resistance = "25 ohm" }}
        """,
        build=_saturating_core,
        compare=("load:positive", "D1", "C1", "mains", ("T1.magnetizing.current.peak", "peak", "i:magnetizing")),
    ),
    "half-wave doubler": Feature(
        sheet=f"""
            {_mains("12 V", "50 Hz", "0.6 ohm")}
            rectifier = {{ circuit = "half-wave-doubler", {_DIODE}, pump_capacitor = "220 uF", \
pump_esr = "0.1 ohm", stage_capacitor = "470 uF", stage_esr = "0.08 ohm" }}
            load = {{ resistance = "820 ohm" }}
        """,
        build=_half_wave_doubler,
        compare=("load:positive", "D1", "D2", "C1", "C2", "mains"),
    ),
    "multiplier of three stages": Feature(
        sheet=f"""
            {_mains("12 V", "50 Hz", "0.4 ohm")}
            rectifier = {{ circuit = "multiplier", stages = 3, {_DIODE}, pump_capacitor = "100 uF", \
pump_esr = "0.04 ohm", stage_capacitor = "100 uF", stage_esr = "0.04 ohm" }}
            load = {{ resistance = "22 kohm" }}
        """,
        build=_multiplier,
        compare=("load:positive", "D1", "D4", "D6", "C1", "mains", ("stage_1.voltage.mean", "mean", "v:stage1")),
    ),
    "multiplier of six stages, capacitors without resistance": Feature(
        sheet=f"""
            {_mains("12 V", "50 Hz", "0.4 ohm")}
            rectifier = {{ circuit = "multiplier", stages = 6, {_DIODE}, pump_capacitor = "100 uF", \
stage_capacitor = "100 uF" }}
            load = {{ resistance = "220 kohm" }}
        """,
        build=partial(_multiplier, 6, 0.0, 220e3),
        compare=("load:positive", "D1", "D6", "D12", "C1", "mains", ("stage_3.voltage.mean", "mean", "v:stage3")),
    ),
    "multiplier of four stages, curved diodes": Feature(
        sheet=f"""
            {_mains("12 V", "50 Hz", "0.4 ohm")}
            rectifier = {{ circuit = "multiplier", stages = 4, diode = {{ drop = "0.7 V", {_REAL}, \
series_resistance = "0.05 ohm" }}, pump_capacitor = "100 uF", pump_esr = "0.04 ohm", pump_leakage = "0 A", \
stage_capacitor = "100 uF", stage_esr = "0.04 ohm", stage_leakage = "0 A" }}
            load = {{ resistance = "68 kohm" }}
        """,
        build=partial(_multiplier, 4, 0.04, 68e3, curved=True),
        compare=("load:positive", "D1", "D4", "D8", "C1", "mains"),
        model="physical",
    ),
    "three-phase bridge with line inductance": Feature(
        sheet=f"""
            {_mains("48 V", "60 Hz", "0.2 ohm", ', phases = 3, source_inductance = "0.5 mH"')}
            rectifier = {{ circuit = "three-phase-bridge", diode = {{ drop = "0.8 V", resistance = "0.03 ohm" }} }}
            filter = [{{ capacitor = "1000 uF", esr = "0.05 ohm" }}]
            load = {{ resistance = "20 ohm" }}
        """,
        build=_three_phase_bridge,
        compare=("load:positive", "D1", "D2", "C1", ("mains_l1.current.rms", "rms", "i:mains_l1")),
    ),
    "three-phase half-wave behind a transformer": Feature(
        sheet="""
            mains = { voltage = "400 V", frequency = "50 Hz", phases = 3 }
            transformer = { turns_ratio = "8:1", primary_resistance = "3 ohm", secondary_resistance = "0.1 ohm", \
leakage_inductance = "0.2 mH", magnetizing_inductance = "4 H" }
            rectifier = { circuit = "three-phase-half-wave", diode = { drop = "0.8 V", resistance = "0.03 ohm" } }
            filter = [{ choke = "10 mH", resistance = "0.2 ohm" }, { capacitor = "2200 uF", esr = "0.05 ohm" }]
            load = { resistance = "6 ohm" }
        """,
        build=_three_phase_half_wave,
        compare=("load:output", "D1", "C1", ("L1.current.peak", "peak", "i:L1")),
    ),
    "mains harmonics with phases": Feature(
        sheet=f"""
            {_mains("15 V", "50 Hz", "0.5 ohm", ', harmonics = [{ order = 3, ratio = 0.05, phase = 200 }, '
                    '{ order = 5, ratio = 0.03, phase = 40 }]')}
            {_BRIDGE}
            filter = [{{ capacitor = "1000 uF", esr = "0.06 ohm" }}, {{ choke = "40 mH", resistance = "1.2 ohm" }}, \
{{ capacitor = "1000 uF", esr = "0.06 ohm" }}]
            load = {{ resistance = "33 ohm" }}
        """,
        build=_harmonics,
        compare=("load:output", "D1", "C1", "C2", "mains", ("L1.current.rms", "rms", "i:L1")),
    ),
    "square generator": Feature(
        sheet=f"""
            {_mains("15 V", "400 Hz", "0.5 ohm", ', waveform = "square"')}
            rectifier = {{ circuit = "half-wave", {_DIODE} }}
            filter = [{{ capacitor = "100 uF", esr = "0.1 ohm" }}, {{ choke = "2 mH", resistance = "0.3 ohm" }}]
            load = {{ resistance = "15 ohm" }}
        """,
        build=_square,
        compare=("load:output", "D1", "C1", "mains", ("L1.current.peak", "peak", "i:L1")),
    ),
    "triangle generator": Feature(
        sheet=f"""
            {_mains("20 V", "50 Hz", "1 ohm", ', waveform = "triangle"')}
            rectifier = {{ circuit = "half-wave", {_DIODE} }}
            filter = [{{ capacitor = "470 uF", esr = "0.1 ohm" }}]
            load = {{ resistance = "220 ohm" }}
        """,
        build=_triangle,
        compare=("load:positive", "D1", "C1", "mains"),
    ),
    "regulators on both rails, one dropping out": Feature(
        sheet=f"""
            mains = {{ voltage = "230 V", frequency = "50 Hz", source_resistance = "70 ohm" }}
            transformer = {{ turns_ratio = "20:1", secondary = "centre-tapped", secondary_resistance = "0.4 ohm" }}
            rectifier = {{ circuit = "dual-rail", {_DIODE} }}
            filter = [{{ capacitor = "1000 uF", esr = "0.06 ohm" }}]
            regulator = {{ positive = {{ kind = "series", output = "12 V", dropout = "2 V" }}, \
negative = {{ kind = "series", output = "9 V", dropout = "1.5 V" }} }}
            load = {{ positive = {{ resistance = "24 ohm" }}, negative = {{ resistance = "30 ohm" }} }}
        """,
        build=_dual_regulators,
        compare=(
            "load_positive:output",
            "load_negative:output_negative",
            "D1",
            "C1",
            "C2",
            ("U1.input.voltage.mean", "mean", "v:positive"),
        ),
    ),
    "zener with slope resistance": Feature(
        sheet=f"""
            {_mains("12 V", "50 Hz", "0.6 ohm")}
            {_BRIDGE}
            filter = [{{ capacitor = "470 uF", esr = "0.1 ohm" }}]
            regulator = {{ kind = "zener", zener_voltage = "6.2 V", zener_resistance = "7 ohm", \
series_resistor = "150 ohm" }}
            load = {{ resistance = "270 ohm" }}
        """,
        build=_zener,
        compare=("load:output", "D1", "C1", ("Z1.current.mean", "mean", "i:Z1"), ("Z1.current.peak", "peak", "i:Z1")),
    ),
    "constant power": Feature(
        sheet=f"""
            {_mains("12 V", "50 Hz", "0.4 ohm")}
            {_BRIDGE}
            filter = [{{ capacitor = "2200 uF", esr = "0.04 ohm" }}]
            load = {{ power = "6 W", minimum_voltage = "5 V" }}
        """,
        build=_constant_power,
        compare=("load:positive", "D1", "C1", "mains"),
    ),
    "pulses over three mains periods": Feature(
        sheet=f"""
            {_mains("15 V", "50 Hz", "0.6 ohm")}
            {_BRIDGE}
            filter = [{{ capacitor = "2200 uF", esr = "0.05 ohm" }}]
            [load]
            pulses = [{{ level = "0.8 A", from = "0 s", to = "20 ms" }}, {{ level = "50 mA", from = "20 ms", \
to = "35 ms" }}, {{ level = "0.3 A", from = "35 ms", to = "60 ms" }}]
            pulse_period = "60 ms"
        """,
        build=_pulses,
        compare=("load:positive", "D1", "C1", "mains"),
    ),
    "battery charger": Feature(
        sheet=f"""
            {_mains("14 V", "60 Hz", "0.8 ohm")}
            {_BRIDGE}
            filter = [{{ resistor = "0.5 ohm" }}]
            load = {{ battery = "12.6 V", battery_resistance = "0.12 ohm" }}
        """,
        build=_charger,
        compare=("load:output", "D1", "mains", ("load.current.mean", "mean", "i:R1")),
    ),
    "probes on both ends of a floating winding": Feature(
        sheet=f"""
            mains = {{ voltage = "230 V", frequency = "50 Hz", source_resistance = "80 ohm" }}
            transformer = {{ turns_ratio = "18:1", secondary_resistance = "0.5 ohm" }}
            {_BRIDGE}
            filter = [{{ capacitor = "10 uF", esr = "0.5 ohm" }}]
            load = {{ resistance = "15 kohm" }}
            [[probe]]
            name = "M1"
            from = "winding_a"
            to = "negative"
            instrument = "meter-dc"
            resistance = "20 kohm"
            capacitance = "10 nF"
            [[probe]]
            name = "M2"
            from = "winding_b"
            to = "negative"
            instrument = "meter-ac-rms"
            resistance = "20 kohm"
            capacitance = "10 nF"
        """,
        build=_probes,
        compare=(
            "load:positive",
            "D1",
            "D3",
            ("M1.voltage.mean", "mean", "v:a"),
            ("M2.voltage.rms", "rms", "v:b"),
            ("M1.indicated", "mean", "v:a"),
        ),
    ),
    "clamper as a network of one's own": Feature(
        sheet="""
            network = { common = "return", output = ["out", "return"] }
            [[element]]
            kind = "source"
            name = "V1"
            from = "line"
            to = "return"
            voltage = "6 V"
            frequency = "50 Hz"
            source_resistance = "50 ohm"
            [[element]]
            kind = "capacitor"
            name = "C1"
            from = "line"
            to = "out"
            capacitance = "10 uF"
            esr = "1 ohm"
            [[element]]
            kind = "diode"
            name = "D1"
            from = "return"
            to = "out"
            diode = { drop = "0.7 V", resistance = "1 ohm" }
            [[element]]
            kind = "resistor"
            name = "R1"
            from = "out"
            to = "return"
            resistance = "4.7 kohm"
        """,
        build=_clamper,
        compare=("load:out", "D1", "C1"),
    ),
    "winding half-shorted": Feature(
        sheet=f"""
            mains = {{ voltage = "230 V", frequency = "50 Hz" }}
            transformer = {{ turns_ratio = "16:1", primary_resistance = "500 ohm", secondary_resistance = "0.4 ohm" }}
            {_BRIDGE}
            filter = [{{ capacitor = "1000 uF", esr = "0.05 ohm" }}]
            load = {{ resistance = "100 ohm" }}
        """,
        faults=("winding half-shorted",),
        build=_half_shorted,
        compare=("load:positive", "D1", "C1", ("mains.current.rms", "rms", "-i:mains")),
    ),
    "leaky diode": Feature(
        sheet=f"""
            {_mains("18 V", "50 Hz", "0.8 ohm")}
            {_BRIDGE}
            filter = [{{ capacitor = "1000 uF", esr = "0.05 ohm" }}]
            load = {{ resistance = "82 ohm" }}
        """,
        faults=("D2 leaky=100 ohm",),
        build=_leaky_diode,
        compare=("load:positive", "D1", "D3", "C1", "mains"),
    ),
    "tap to negative": Feature(
        sheet=f"""
            mains = {{ voltage = "230 V", frequency = "50 Hz", source_resistance = "60 ohm" }}
            transformer = {{ turns_ratio = "15:1", secondary = "centre-tapped", secondary_resistance = "0.5 ohm" }}
            {_BRIDGE}
            filter = [{{ capacitor = "2200 uF", esr = "0.05 ohm" }}]
            load = {{ resistance = "68 ohm" }}
        """,
        faults=("tap to negative",),
        build=_tap_to_negative,
        compare=("load:positive", "D1", "D3", "C1"),
    ),
    "real diodes, regulators with a current limit": Feature(
        model="physical",
        sheet=f"""
            mains = {{ voltage = "230 V", frequency = "50 Hz", source_resistance = "70 ohm" }}
            transformer = {{ turns_ratio = "20:1", secondary = "centre-tapped", secondary_resistance = "0.4 ohm" }}
            conditions = {{ transformer_temperature = "20 °C" }}
            rectifier = {{ circuit = "dual-rail", diode = {{ {_REAL}, series_resistance = "0.05 ohm" }} }}
            filter = [{{ capacitor = "1000 uF", esr = "0.06 ohm", leakage = "0 A" }}]
            regulator = {{ positive = {{ kind = "series", output = "9 V", dropout = "1 V", \
current_limit = "0.25 A" }}, negative = {{ kind = "series", output = "9 V", dropout = "1.5 V" }} }}
            load = {{ positive = {{ resistance = "24 ohm" }}, negative = {{ resistance = "45 ohm" }} }}
        """,
        build=_limited_regulators,
        compare=(
            "load_positive:output",
            "load_negative:output_negative",
            "D1",
            "D3",
            "C1",
            ("U1.input.voltage.mean", "mean", "v:positive"),
        ),
    ),
    "real diodes, series regulator with ripple rejection": Feature(
        model="physical",
        sheet=f"""
            {_mains("12 V", "50 Hz", "0.5 ohm")}
            rectifier = {{ circuit = "bridge", diode = {{ {_REAL}, series_resistance = "0.05 ohm" }} }}
            filter = [{{ capacitor = "1000 uF", esr = "0.05 ohm", leakage = "0 A" }}]
            regulator = {{ kind = "series", output = "8 V", dropout = "2 V", ripple_rejection = "40 dB" }}
            load = {{ resistance = "20 ohm" }}
        """,
        build=_ripple_rejection,
        compare=("load:output", "D1", "C1", ("U1.input.voltage.ripple_peak_to_peak", "ripple", "v:positive")),
    ),
    "real diodes, leaking capacitor": Feature(
        model="physical",
        sheet=f"""
            {_mains("24 V", "50 Hz", "2 ohm")}
            rectifier = {{ circuit = "bridge", diode = {{ {_REAL}, series_resistance = "0.08 ohm" }} }}
            filter = [{{ capacitor = "47 uF", esr = "0.5 ohm", leakage = "2 mA", voltage_rating = "50 V" }}]
            load = {{ resistance = "10 kohm" }}
        """,
        build=_leaky_capacitor,
        compare=("load:positive", "D1"),
    ),
    "real diodes, centre tap with leakage inductance": Feature(
        model="physical",
        sheet=f"""
            mains = {{ voltage = "230 V", frequency = "50 Hz", source_resistance = "40 ohm" }}
            transformer = {{ turns_ratio = "16:1", secondary = "centre-tapped", secondary_resistance = "0.4 ohm", \
leakage_inductance = "0.2 mH" }}
            conditions = {{ transformer_temperature = "20 °C" }}
            rectifier = {{ circuit = "centre-tap", diode = {{ {_REAL}, series_resistance = "0.04 ohm" }} }}
            filter = [{{ capacitor = "2200 uF", esr = "0.04 ohm", leakage = "0 A" }}]
            load = {{ resistance = "33 ohm" }}
        """,
        build=_real_centre_tap,
        compare=("load:positive", "D1", "C1"),
    ),
}


def comparisons(feature: Feature) -> list[Comparison]:
    """The readings of a feature written out: a place stands for its mean, RMS and ripple or peak."""
    found: list[Comparison] = []
    for entry in feature.compare:
        if not isinstance(entry, str):
            found.append(entry)
        elif ":" in entry:
            place, node = entry.split(":")
            for reading, measure in (("mean", "mean"), ("rms", "rms"), ("ripple_peak_to_peak", "ripple")):
                found.append((f"{place}.voltage.{reading}", measure, f"v:{node}"))
        else:
            name = f"-i:{entry}" if entry == "mains" else f"i:{entry}"
            measures = ("rms",) if entry[0] in "Cm" else ("mean", "rms", "peak")
            found += [(f"{entry}.current.{measure}", measure, name) for measure in measures]
    return found


@cache
def referee(name: str) -> NodalPeriod:
    """The referee's steady period of a feature, found once per run of the tests."""
    return NodalPeriod(FEATURES[name].build())


def verdict(name: str, measure: str, output: str) -> float:
    """One number of the referee; a minus before the output turns it."""
    sign = -1.0 if output.startswith("-") else 1.0
    return float(getattr(referee(name), measure)({output.lstrip("-"): sign}))
