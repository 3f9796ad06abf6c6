"""Draws supplies that somebody could have written down, from whatever makes the choices.

The same description serves a random generator (very many supplies, fast) and hypothesis (few, which shrink). A drawn
supply is the sheet's own tree, so that the referee reads exactly what the program reads.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from hypothesis import strategies as st

Tree = dict[str, Any]


class Chooser(Protocol):
    """What makes the choices."""

    def pick(self, options: Sequence[Any]) -> Any:
        """One of the options."""

    def number(self, low: float, high: float) -> float:
        """A size spread evenly over its decades, to three digits: what somebody could have written."""


def _three_digits(exponent: float) -> float:
    return float(f"{math.exp(exponent):.3g}")


class RandomChooser:
    """Choices of a seeded random generator."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)

    def pick(self, options: Sequence[Any]) -> Any:
        return self._random.choice(options)

    def number(self, low: float, high: float) -> float:
        return _three_digits(self._random.uniform(math.log(low), math.log(high)))


class DrawnChooser:
    """Choices that hypothesis makes, and makes smaller when something fails."""

    def __init__(self, draw: Callable[..., Any]) -> None:
        self._draw = draw

    def pick(self, options: Sequence[Any]) -> Any:
        return self._draw(st.sampled_from(list(options)))

    def number(self, low: float, high: float) -> float:
        return self._draw(st.floats(math.log(low), math.log(high)).map(_three_digits))


@dataclass(frozen=True, kw_only=True)
class DrawnSupply:
    """A drawn supply: the sheet's tree, faults to add and the model to solve it at."""

    tree: Tree
    faults: tuple[str, ...] = ()
    model: str = "textbook"
    plausible: bool = True

    @property
    def sheet(self) -> str:
        """The sheet's text."""
        return "\n".join(f"{key} = {_toml(value)}" for key, value in self.tree.items())

    def __str__(self) -> str:
        return f"{self.sheet}\n# model {self.model}, faults: {', '.join(self.faults) or 'none'}"


def _toml(value: Any) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(k)} = {_toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(v) for v in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else repr(value)


def _key(key: str) -> str:
    return key if key.replace("_", "").isalnum() else f'"{key}"'


# -- what the referee compares: supplies with ordinary resistances -------------------------------------------------

#: Circuits that the referee's builder reads.
COMPARED = (
    "half-wave", "centre-tap", "bridge", "dual-rail", "dual-half-wave", "full-wave-doubler", "half-wave-doubler",
    "multiplier", "three-phase-half-wave", "three-phase-bridge",
)  # fmt: skip
TAPPED = ("centre-tap", "dual-rail")
DUAL = ("dual-rail", "dual-half-wave")
DOUBLERS = ("full-wave-doubler", "half-wave-doubler", "multiplier")
THREE_PHASE = ("three-phase-half-wave", "three-phase-bridge")
DIODES = {
    "half-wave": 1, "centre-tap": 2, "bridge": 4, "dual-rail": 4, "dual-half-wave": 2, "full-wave-doubler": 2,
    "half-wave-doubler": 2, "three-phase-half-wave": 3, "three-phase-bridge": 6,
}  # fmt: skip


def compared_supply(choose: Chooser) -> DrawnSupply:
    """A supply with ordinary resistances that the referee can also build, perhaps with one fault."""
    circuit = choose.pick(COMPARED)
    volts = choose.number(5.0, 60.0)
    ohms = choose.number(20.0, 2000.0) * volts / 12.0
    tree: Tree = {"mains": _mains(choose, circuit, volts)}
    if circuit in TAPPED or (circuit not in THREE_PHASE and choose.pick((False, False, True))):
        tree["mains"] = {"voltage": "230 V", "frequency": tree["mains"]["frequency"]}
        ratio = 230.0 / volts
        tree["transformer"] = {
            "turns_ratio": f"{ratio:.4g}:1",
            "secondary": "centre-tapped" if circuit in TAPPED else "single",
            "primary_resistance": f"{choose.number(0.1, 1.0) * ratio**2:.3g} ohm",
            "secondary_resistance": f"{choose.number(0.1, 1.0):.3g} ohm",
        }
    tree["rectifier"] = {
        "circuit": circuit,
        "diode": {"drop": f"{choose.number(0.3, 1.1):g} V", "resistance": f"{choose.number(0.02, 0.3):g} ohm"},
    }
    if circuit in DOUBLERS:
        # Sized by the load: a multiplier of starved capacitors says little.
        farads = choose.number(2e-1, 5.0) / ohms
        tree["rectifier"] |= {"stage_capacitor": f"{farads:.3g} F", "stage_esr": f"{choose.number(0.02, 0.5):g} ohm"}
        if circuit != "full-wave-doubler":
            tree["rectifier"] |= {"pump_capacitor": f"{farads:.3g} F", "pump_esr": "0.1 ohm"}
        if circuit == "multiplier":
            tree["rectifier"]["stages"] = choose.pick((2, 3))
            ohms *= 10.0
    tree["filter"] = _filter(choose, circuit, ohms)
    load = {"resistance": f"{ohms:.4g} ohm"}
    if choose.pick((False, False, True)):
        load = {"current": f"{volts / ohms:.4g} A", "minimum_voltage": "0.5 V"}
    tree["load"] = load
    if circuit in DUAL:
        # Equal rails would leave the referee nothing to tell apart.
        tree["load"] = {"positive": load, "negative": {"resistance": f"{choose.number(0.3, 3.0) * ohms:.4g} ohm"}}
    return DrawnSupply(tree=tree, faults=_faults(choose, circuit, tree))


def _mains(choose: Chooser, circuit: str, volts: float) -> Tree:
    mains: Tree = {
        "voltage": f"{volts:g} V",
        "frequency": choose.pick(("50 Hz", "60 Hz", "400 Hz")),
        "source": "generator",
        "source_resistance": f"{choose.number(0.1, 3.0):g} ohm",
    }
    if circuit in THREE_PHASE:
        mains["phases"] = 3
    if choose.pick((False, False, True)):
        mains["source_inductance"] = f"{choose.number(3e-5, 3e-3):g} H"
    return mains


def _filter(choose: Chooser, circuit: str, ohms: float) -> list[Tree]:
    farads = choose.number(0.05, 1.0) / ohms  # time constants of 50 ms to 1 s
    capacitor = {"capacitor": f"{farads:.3g} F", "esr": f"{choose.number(0.02, 0.5):g} ohm"}
    if circuit in DOUBLERS:
        return []
    resistor = {"resistor": f"{choose.number(0.02, 0.2) * ohms:.3g} ohm"}
    choke = {
        "choke": f"{choose.number(1e-3, 3e-2) * ohms:.3g} H",
        "resistance": f"{choose.number(0.005, 0.05) * ohms:.3g} ohm",
    }
    return choose.pick(
        (
            [],
            [capacitor],
            [capacitor],
            [capacitor, {"bleeder": f"{10 * ohms:.3g} ohm"}],
            [capacitor, resistor, capacitor],
            [capacitor, choke, capacitor],
            [choke, capacitor],
            [resistor, capacitor],
        )
    )


def _faults(choose: Chooser, circuit: str, tree: Tree) -> tuple[str, ...]:
    if choose.pick((True, True, True, False)):
        return ()
    diodes = DIODES[circuit] if circuit != "multiplier" else 2 * tree["rectifier"]["stages"]
    number = choose.pick(range(1, diodes + 1))
    # A shorted diode of a centre tap puts direct current through a core without a stated inductance; the referee's
    # stand-in for that is too slow to settle.
    kind = choose.pick(("open", "reversed") if circuit == "centre-tap" else ("open", "shorted", "reversed"))
    return (f"D{number} {kind}",)


@st.composite
def compared_supplies(draw: Callable[..., Any]) -> DrawnSupply:
    """Hypothesis' strategy of the same supplies."""
    return compared_supply(DrawnChooser(draw))


# -- anything that the sheet can say --------------------------------------------------------------------------------


def any_supply(choose: Chooser) -> DrawnSupply:
    """Any sheet: plausible with ordinary resistances, or as bare and extreme as a sheet may be."""
    plausible = choose.pick((True, True, False))
    circuit = choose.pick((*COMPARED, "bridge", "centre-tap", "half-wave"))
    volts = choose.number(3.0, 400.0) if plausible else choose.number(0.5, 2000.0)
    ohms = volts / choose.number(0.001, 5.0) if plausible else choose.number(0.1, 1e8)
    tree: Tree = {"mains": _any_mains(choose, circuit, volts, plausible)}
    if circuit in TAPPED or choose.pick((False, True)):
        tree["transformer"] = _any_transformer(choose, circuit, volts, tree["mains"], plausible)
    tree["rectifier"] = _any_rectifier(choose, circuit, ohms, plausible)
    tree["filter"] = _any_filter(choose, ohms, plausible)
    dual = circuit in DUAL
    regulated = choose.pick((False, False, False, True))
    if regulated:
        tree["regulator"] = (
            {"positive": _any_regulator(choose, volts, ohms), "negative": _any_regulator(choose, volts, ohms)}
            if dual
            else _any_regulator(choose, volts, ohms)
        )
    tree["load"] = _any_load(choose, volts, ohms, tree["mains"]["frequency"])
    if dual and choose.pick((True, False)):
        tree["load"] = {
            "positive": tree["load"],
            "negative": _any_load(choose, volts, ohms * choose.number(0.1, 10.0), tree["mains"]["frequency"]),
        }
        if choose.pick((True, False, False)):
            tree["load"]["across"] = {"resistance": f"{ohms:.3g} ohm"}
    if choose.pick((False, False, False, False, True)):
        tree["probe"] = [_any_probe(choose, circuit)]
    model = choose.pick(("textbook",) * 40 + ("ideal",) * 19 + ("physical",))
    loads = (tree["load"], *(each for each in tree["load"].values() if isinstance(each, dict)))
    if model == "ideal" or any("power" in each for each in loads):
        # Nothing resists; and a constant power may truly be too much for what feeds it.
        plausible = False
    if any("pulses" in each for each in loads) and _ends_in_an_inductance(tree):
        plausible = False  # no inductance can feed a current that steps
    return DrawnSupply(tree=tree, faults=_any_faults(choose, circuit, tree), model=model, plausible=plausible)


def _ends_in_an_inductance(tree: Tree) -> bool:
    """Whether the load is fed through an inductance with no capacitor behind it."""
    upstream = "stage_capacitor" not in tree["rectifier"] and (
        "source_inductance" in tree["mains"] or "leakage_inductance" in tree.get("transformer", {})
    )
    for section in tree["filter"]:
        if section.get("fitted", True) and ("capacitor" in section or "choke" in section):
            upstream = "choke" in section
    return upstream


def _maybe_zero(choose: Chooser, low: float, high: float, plausible: bool) -> float:
    """A size; where nothing has to be plausible, often zero or far from the usual."""
    if plausible:
        return choose.number(low, high)
    return choose.pick((0.0, choose.number(low, high), choose.number(low / 1e3, high * 10)))


def _any_mains(choose: Chooser, circuit: str, volts: float, plausible: bool) -> Tree:
    mains: Tree = {
        "voltage": f"{volts:g} V",
        "frequency": choose.pick(("50 Hz", "60 Hz", "400 Hz", "16.7 Hz")),
        "source": choose.pick(("generator", "adapter", "outlet")),
        "source_resistance": f"{_maybe_zero(choose, 0.05, 5.0, plausible):g} ohm",
    }
    if circuit in THREE_PHASE:
        mains["phases"] = 3
    elif choose.pick((False,) * 6 + (True,)):
        mains["waveform"] = choose.pick(("square", "triangle"))
    if "waveform" not in mains and choose.pick((False,) * 4 + (True,)):
        mains["harmonics"] = [
            {"order": order, "ratio": choose.number(0.005, 0.15), "phase": choose.pick((0, 30, 90, 180, 250))}
            for order in choose.pick(((3,), (3, 5), (5, 7)))
        ]
    if choose.pick((False, False, False, True)):
        mains["source_inductance"] = f"{choose.number(1e-6, 1e-2):g} H"
    return mains


def _any_transformer(choose: Chooser, circuit: str, volts: float, mains: Tree, plausible: bool) -> Tree:
    ratio = choose.number(0.2, 40.0)
    mains["voltage"] = f"{volts * ratio:.4g} V"
    transformer: Tree = {"turns_ratio": f"{ratio:g}:1"}
    if circuit in TAPPED:
        transformer["secondary"] = "centre-tapped"
    elif circuit not in THREE_PHASE and not circuit.startswith("dual"):
        transformer["secondary"] = choose.pick(("single", "single", "series", "parallel"))
    transformer["primary_resistance"] = f"{_maybe_zero(choose, 0.05, 3.0, plausible) * ratio**2:.3g} ohm"
    transformer["secondary_resistance"] = f"{_maybe_zero(choose, 0.05, 3.0, plausible):.3g} ohm"
    if choose.pick((False, False, True)):
        transformer["leakage_inductance"] = f"{choose.number(1e-6, 5e-3):g} H"
    if choose.pick((False, False, True)):
        transformer["magnetizing_inductance"] = f"{choose.number(0.05, 3.0) * ratio**2:.3g} H"
        if choose.pick((False, True)):
            transformer["saturation_current"] = f"{choose.number(0.003, 1.0) / ratio:.3g} A"
            transformer["saturated_inductance"] = f"{choose.number(0.001, 0.02) * ratio**2:.3g} H"
    if circuit == "three-phase-bridge":
        transformer["connection"] = choose.pick(("star-star", "delta-star", "star-delta", "delta-delta"))
    elif circuit == "three-phase-half-wave":
        transformer["connection"] = choose.pick(("star-star", "delta-star"))
    return transformer


def _any_rectifier(choose: Chooser, circuit: str, ohms: float, plausible: bool) -> Tree:
    drop = choose.number(0.2, 1.2) if plausible else choose.pick((0.0, 0.7, 10.0))
    rectifier: Tree = {
        "circuit": circuit,
        "diode": {
            "drop": f"{drop:g} V",
            "resistance": f"{_maybe_zero(choose, 0.01, 1.0, plausible):g} ohm",
            "saturation_current": f"{choose.number(1e-12, 1e-6):g} A",
            "ideality": choose.pick((1.0, 1.5, 2.0)),
            "series_resistance": f"{choose.number(0.01, 0.5):g} ohm",
        },
    }
    if circuit in DOUBLERS:
        for kind in ("stage", "pump") if circuit != "full-wave-doubler" else ("stage",):
            farads = choose.number(0.02, 20.0) / ohms if plausible else choose.number(1e-10, 1.0)
            rectifier[f"{kind}_capacitor"] = f"{farads:.3g} F"
            rectifier[f"{kind}_esr"] = f"{_maybe_zero(choose, 0.01, 1.0, plausible):g} ohm"
        if circuit == "multiplier":
            rectifier["stages"] = choose.pick((1, 2, 2, 3))
    return rectifier


def _any_filter(choose: Chooser, ohms: float, plausible: bool) -> list[Tree]:
    sections: list[Tree] = []
    for _ in range(choose.pick((0, 1, 1, 1, 2, 3, 4))):
        kind = choose.pick(("capacitor", "capacitor", "capacitor", "resistor", "choke", "bleeder"))
        if kind == "capacitor":
            farads = choose.number(1e-3, 10.0) / ohms if plausible else choose.number(1e-10, 10.0)
            esr = choose.number(0.005, 1.0) if plausible else choose.pick((0.0, choose.number(1e-3, 10.0)))
            section = {"capacitor": f"{farads:.3g} F", "esr": f"{esr:g} ohm"}
        elif kind == "choke":
            henries = choose.number(1e-5, 0.1) * ohms if plausible else choose.number(1e-7, 100.0)
            section = {
                "choke": f"{henries:.3g} H",
                "resistance": f"{_maybe_zero(choose, 0.001, 0.05, plausible) * ohms:.3g} ohm",
            }
            if choose.pick((False,) * 4 + (True,)):
                section["saturation_current"] = "0.5 A"
        else:
            section = {kind: f"{choose.number(0.003, 0.3) * ohms * (100 if kind == 'bleeder' else 1):.3g} ohm"}
        if choose.pick((False,) * 20 + (True,)):
            section["fitted"] = False
        sections.append(section)
    return sections


def _any_regulator(choose: Chooser, volts: float, ohms: float) -> Tree:
    if choose.pick((True, False)):
        regulator: Tree = {
            "kind": "series",
            "output": f"{choose.number(0.2, 1.5) * volts:.3g} V",
            "dropout": f"{choose.number(0.1, 2.5):g} V",
        }
        if choose.pick((True, False)):
            regulator["ripple_rejection"] = choose.pick(("40 dB", "70 dB"))
        if choose.pick((True, False)):
            regulator["current_limit"] = f"{choose.number(0.3, 3.0) * volts / ohms:.3g} A"
        if choose.pick((True, False)):
            regulator["quiescent"] = f"{choose.number(0.001, 0.01):g} A"
        return regulator
    return {
        "kind": "zener",
        "zener_voltage": f"{choose.number(0.2, 1.3) * volts:.3g} V",
        "zener_resistance": f"{choose.number(0.1, 30.0):g} ohm",
        "series_resistor": f"{choose.number(0.05, 1.0) * ohms:.3g} ohm",
    }


def _any_load(choose: Chooser, volts: float, ohms: float, frequency: str) -> Tree:
    kind = choose.pick(("resistance",) * 5 + ("current", "current", "power", "battery", "pulses", "none"))
    amperes = volts / ohms
    if kind == "resistance":
        return {"resistance": f"{ohms:.3g} ohm"}
    if kind == "current":
        return {"current": f"{amperes:.3g} A"}
    if kind == "power":
        return {"power": f"{volts * amperes:.3g} W", "minimum_voltage": f"{0.4 * volts:.3g} V"}
    if kind == "battery":
        return {
            "battery": f"{choose.number(0.3, 1.5) * volts:.3g} V",
            "battery_resistance": f"{choose.number(0.01, 5.0):g} ohm",
        }
    if kind == "none":
        return {"none": True}
    period = choose.pick((0.5, 1, 2, 3)) / float(frequency.split()[0])
    whole, part = f"{period:.12g} s", f"{choose.number(0.05, 0.6) * period:.6g} s"
    return {
        "pulses": [
            {"level": f"{amperes:.3g} A", "from": "0 s", "to": part},
            {"level": f"{0.1 * amperes:.3g} A", "from": part, "to": whole},
        ],
        "pulse_period": whole,
    }


def _any_probe(choose: Chooser, circuit: str) -> Tree:
    ends = ("output", "zero" if circuit in DUAL else "negative")
    if circuit not in THREE_PHASE and choose.pick((True, False)):
        ends = ("winding_a", choose.pick(("winding_b", "negative")))
    return {
        "name": "M1",
        "from": ends[0],
        "to": ends[1],
        "instrument": choose.pick(("meter-dc", "meter-ac-rms", "scope-dc")),
        "resistance": choose.pick(("10 Mohm", "20 kohm")),
        "capacitance": choose.pick(("100 pF", "1 nF", "0 F")),
        "clip_earthed": False,
    }


def _any_faults(choose: Chooser, circuit: str, tree: Tree) -> tuple[str, ...]:
    if choose.pick((True, True, True, False)):
        return ()
    diodes = DIODES[circuit] if circuit != "multiplier" else 2 * tree["rectifier"]["stages"]
    words = [f"D{choose.pick(range(1, diodes + 1))} {choose.pick(('open', 'shorted', 'reversed', 'leaky=10 kohm'))}"]
    first = next((section for section in tree["filter"] if "capacitor" in section), {"fitted": False})
    if first.get("fitted", True) and circuit not in DUAL:
        words += ["C1 open", "C1 shorted", "C1 dried=10 uF/5 ohm"]
    if "transformer" in tree and circuit not in THREE_PHASE:
        words += ["primary open", "winding half-shorted"]
    if circuit in TAPPED:
        words += ["winding_a open", "tap to negative"]
    return (choose.pick(words),)


# -- ladders of many diodes -----------------------------------------------------------------------------------------


def ladder_supply(choose: Chooser, model: str) -> DrawnSupply:
    """A multiplier of three to six stages, from fed by next to nothing to loaded down, with bare parts or real ones."""
    stages, volts = choose.pick((3, 4, 5, 6, 6, 6)), choose.pick(("6 V", "24 V", "230 V"))
    farads, ohms = choose.pick((1e-7, 1e-6, 1e-5, 1e-4, 4.7e-4)), choose.pick((0.0, 0.01, 1.0, 10.0))
    charge_of_a_period = 50.0 * farads  # [S] what a stage passes on for each volt
    winding = choose.pick(
        (
            {"rating": "10 VA", "regulation": "20 %"},
            {"rating": "10 VA", "regulation": "10 %", "leakage_inductance": "20 mH"},
            {"rating": "50 VA", "regulation": "8 %", "magnetizing_inductance": "20 H"},
        )
    )
    diode = choose.pick(
        (
            {"drop": "0.7 V"},
            {"drop": "0.4 V", "saturation_current": "1 uA", "series_resistance": "0.05 ohm"},
            {"drop": "0.7 V", "saturation_current": "1 nA", "ideality": 1.8, "series_resistance": "0.05 ohm"},
        )
    )
    tree: Tree = {
        "mains": {"voltage": "230 V", "frequency": "50 Hz"},
        "transformer": {"secondary_voltage": volts, **winding},
        "rectifier": {
            "circuit": "multiplier",
            "stages": stages,
            "diode": diode,
            "pump_capacitor": f"{farads:g} F",
            "pump_esr": f"{ohms:g} ohm",
            "stage_capacitor": f"{farads:g} F",
            "stage_esr": f"{ohms:g} ohm",
        },
        "load": {"resistance": f"{choose.number(0.3, 3000.0) * stages / charge_of_a_period:.3g} ohm"},
    }
    return DrawnSupply(tree=tree, model=model)
