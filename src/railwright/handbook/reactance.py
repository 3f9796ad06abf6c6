"""Reactances of capacitor and choke at one frequency, and what stands beside them."""

from __future__ import annotations

import math

from railwright.handbook.formula import Assumption, Example, Formula, Validity
from railwright.handbook.sources import ARMY_FILTER, BOYLESTAD_SECTION, NAVY_QUESTIONS, ON_PAPER, TOOLEY_CHOKE, bell
from railwright.handbook.symbols import LOAD_RESISTANCE, RIPPLE_RMS, quantity

_FREQUENCY = quantity("ripple_frequency", "f_r", "Hz", "frequency of the ripple")
_INDUCTANCE = quantity("inductance", "L", "H", "inductance of the choke")
_CAPACITANCE = quantity("capacitance", "C", "F", "capacitance of the capacitor")
_CAPACITOR_REACTANCE = quantity("capacitor_reactance", "X_C", "ohm", "reactance of the capacitor")
_CHOKE_REACTANCE = quantity("choke_reactance", "X_L", "ohm", "reactance of the choke")
_INPUT_RIPPLE = quantity("input_ripple", r"V_{r,\mathrm{in}}", "V", "ripple before the section", "not negative")
_SERIES_RESISTOR = quantity("series_resistance", "R_s", "ohm", "series resistor")
_SINE = Assumption(claim="takes the ripple for a sine of one frequency")
_EVERY_SINE = Validity(sentence="Valid for a sine in the steady state.")


def capacitor_reactance(*, ripple_frequency: float, capacitance: float) -> float:
    """Reactance of a capacitor. [ohm]"""
    return 1.0 / (2.0 * math.pi * ripple_frequency * capacitance)


def capacitance_of_reactance(*, ripple_frequency: float, capacitor_reactance: float) -> float:
    """Capacitance that has a given reactance. [F]"""
    return 1.0 / (2.0 * math.pi * ripple_frequency * capacitor_reactance)


def choke_reactance(*, ripple_frequency: float, inductance: float) -> float:
    """Reactance of a choke. [ohm]"""
    return 2.0 * math.pi * ripple_frequency * inductance


def parallel_impedance(*, capacitor_reactance: float, load_resistance: float) -> float:
    """Magnitude of capacitor and resistor side by side. [ohm]"""
    return capacitor_reactance * load_resistance / math.hypot(capacitor_reactance, load_resistance)


def parallel_impedance_as_resistances(*, capacitor_reactance: float, load_resistance: float) -> float:
    """Capacitor and resistor side by side, wrongly taken for two resistances. [ohm]"""
    return capacitor_reactance * load_resistance / (capacitor_reactance + load_resistance)


def capacitor_reactance_for_choke_section(
    *, choke_reactance: float, input_ripple: float, output_ripple: float
) -> float:
    """Reactance that the capacitor behind a choke may have for a wanted ripple. [ohm]"""
    return choke_reactance / (input_ripple / output_ripple + 1.0)


def choke_section_ripple_in_quadrature(
    *, input_ripple: float, choke_reactance: float, capacitor_reactance: float
) -> float:
    """Ripple behind choke and capacitor, their reactances wrongly added at right angles. [V]"""
    return input_ripple * capacitor_reactance / math.hypot(choke_reactance, capacitor_reactance)


def resistor_section_ripple_small_reactance(
    *, input_ripple: float, series_resistance: float, capacitor_reactance: float
) -> float:
    """Ripple behind resistor and capacitor, reactance much smaller than the resistance. [V]"""
    return input_ripple * capacitor_reactance / series_resistance


FORMULAS = (
    Formula(
        id="capacitor-reactance",
        topic="reactance",
        title="Reactance of a capacitor",
        statement=r"X_C = \frac{1}{2\pi f_r C}",
        quantities=(_FREQUENCY, _CAPACITANCE),
        result=_CAPACITOR_REACTANCE,
        function=capacitor_reactance,
        assumptions=(_SINE,),
        validity=_EVERY_SINE,
        source=NAVY_QUESTIONS,
        example=Example(
            values={"ripple_frequency": 120.0, "capacitance": 25e-6},
            expected=53.0,
            tolerance=9.7e-3,
            source=NAVY_QUESTIONS,
        ),
        kind="exact law",
    ),
    Formula(
        id="capacitance-of-reactance",
        topic="reactance",
        title="Capacitance that has a given reactance",
        statement=r"C = \frac{1}{2\pi f_r X_C}",
        quantities=(_FREQUENCY, _CAPACITOR_REACTANCE),
        result=_CAPACITANCE,
        function=capacitance_of_reactance,
        assumptions=(_SINE,),
        validity=_EVERY_SINE,
        source=NAVY_QUESTIONS,
        # 265 ohm is the 10 µF of the army's circuit at 60 Hz.
        example=Example(
            values={"ripple_frequency": 60.0, "capacitor_reactance": 265.0},
            expected=10e-6,
            tolerance=2e-3,
            source=ARMY_FILTER,
        ),
        kind="exact law",
        undoes="capacitor-reactance",
    ),
    Formula(
        id="choke-reactance",
        topic="reactance",
        title="Reactance of a choke",
        statement=r"X_L = 2\pi f_r L",
        quantities=(_FREQUENCY, _INDUCTANCE),
        result=_CHOKE_REACTANCE,
        function=choke_reactance,
        assumptions=(_SINE,),
        validity=_EVERY_SINE,
        source=NAVY_QUESTIONS,
        example=Example(
            values={"ripple_frequency": 120.0, "inductance": 10.0},
            expected=7500.0,
            tolerance=6.8e-3,
            source=NAVY_QUESTIONS,
        ),
        kind="exact law",
    ),
    Formula(
        id="parallel-impedance",
        topic="reactance",
        title="Capacitor and resistor side by side",
        statement=r"Z = \frac{X_C R}{\sqrt{X_C^2 + R^2}}",
        quantities=(_CAPACITOR_REACTANCE, LOAD_RESISTANCE),
        result=quantity("impedance", "Z", "ohm", "magnitude of the impedance"),
        function=parallel_impedance,
        assumptions=(_SINE,),
        validity=_EVERY_SINE,
        source=ON_PAPER,
        # 3 and 4 ohm at right angles: 12/5.
        example=Example(
            values={"capacitor_reactance": 3.0, "load_resistance": 4.0}, expected=2.4, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
    ),
    Formula(
        id="parallel-impedance-as-resistances",
        topic="reactance",
        title="Capacitor and resistor side by side, taken for two resistances",
        statement=r"Z \approx \frac{X_C R}{X_C + R}",
        quantities=(_CAPACITOR_REACTANCE, LOAD_RESISTANCE),
        result=quantity("impedance", "Z", "ohm", "what the source calls the combined resistance"),
        function=parallel_impedance_as_resistances,
        assumptions=(Assumption(claim="adds a reactance and a resistance as if they were in phase"), _SINE),
        validity=Validity(
            sentence="Off by less than 3 % while the reactance is below a thirtieth of the resistance.",
            condition=lambda values: values["capacitor_reactance"] <= values["load_resistance"] / 30.0,
        ),
        source=ARMY_FILTER,
        example=Example(
            values={"capacitor_reactance": 265.0, "load_resistance": 10e3},
            expected=258.0,
            tolerance=2e-3,
            source=ARMY_FILTER,
        ),
        slip="A reactance and a resistance stand at right angles: at 265 ohm beside 10 kohm this reads 2.5 % low.",
    ),
    Formula(
        id="capacitor-reactance-for-choke-section",
        topic="reactance",
        title="Reactance of the capacitor behind a choke for a wanted ripple",
        statement=r"X_C = \frac{X_L}{V_{r,\mathrm{in}}/V_{r,\mathrm{out}} + 1}",
        quantities=(
            _CHOKE_REACTANCE,
            quantity("input_ripple", r"V_{r,\mathrm{in}}", "V", "ripple before the choke"),
            quantity("output_ripple", r"V_{r,\mathrm{out}}", "V", "wanted ripple, in the same measure"),
        ),
        result=_CAPACITOR_REACTANCE,
        function=capacitor_reactance_for_choke_section,
        assumptions=(_SINE, Assumption(claim="leaves out losses and load")),
        validity=Validity(sentence="Valid above the section's resonance."),
        source=bell("Ex. 3.14, p. 101"),
        # 416.7 ohm of choke, 13.33 V down to 0.24 V.
        example=Example(
            values={"choke_reactance": 416.67, "input_ripple": 13.333, "output_ripple": 0.24},
            expected=7.367,
            tolerance=2e-3,
            source=bell("Ex. 3.14, p. 101"),
        ),
    ),
    Formula(
        id="choke-section-ripple-in-quadrature",
        topic="reactance",
        title="Ripple behind a choke and capacitor, reactances added at right angles",
        statement=r"V_{r,\mathrm{out}} \approx V_{r,\mathrm{in}}\frac{X_C}{\sqrt{X_L^2 + X_C^2}}",
        quantities=(_INPUT_RIPPLE, _CHOKE_REACTANCE, _CAPACITOR_REACTANCE),
        result=RIPPLE_RMS,
        function=choke_section_ripple_in_quadrature,
        assumptions=(Assumption(claim="adds two reactances at right angles, though they subtract"), _SINE),
        validity=Validity(
            sentence="Off by less than 10 % while the choke's reactance is at least ten times the capacitor's.",
            condition=lambda values: values["choke_reactance"] >= 10.0 * values["capacitor_reactance"],
        ),
        source=TOOLEY_CHOKE,
        example=Example(
            values={"input_ripple": 1.0, "choke_reactance": 1000.0 * math.pi, "capacitor_reactance": 3.18},
            expected=0.00101,
            tolerance=5.1e-3,
            source=TOOLEY_CHOKE,
        ),
        slip="The reactances of choke and capacitor subtract: this reads 0.1 % low in the source's example, "
        "and without limit near resonance.",
    ),
    Formula(
        id="resistor-section-ripple-small-reactance",
        topic="reactance",
        title="Ripple behind a resistor and capacitor, reactance over resistance",
        statement=r"V_{r,\mathrm{out}} = V_{r,\mathrm{in}}\frac{X_C}{R_s}",
        quantities=(_INPUT_RIPPLE, _SERIES_RESISTOR, _CAPACITOR_REACTANCE),
        result=RIPPLE_RMS,
        function=resistor_section_ripple_small_reactance,
        assumptions=(_SINE, Assumption(claim="takes the reactance as much smaller than the resistor and the load")),
        validity=Validity(
            sentence="Valid while the reactance is below a fifth of the resistor.",
            condition=lambda values: values["capacitor_reactance"] <= 0.2 * values["series_resistance"],
        ),
        source=BOYLESTAD_SECTION,
        example=Example(
            values={"input_ripple": 15.0, "series_resistance": 500.0, "capacitor_reactance": 130.0},
            expected=3.9,
            tolerance=1e-3,
            source=BOYLESTAD_SECTION,
        ),
    ),
)
