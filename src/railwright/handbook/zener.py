"""The zener as a shunt regulator: its slope, the loads that it serves, what it must bear."""

from __future__ import annotations

from railwright.handbook.formula import Assumption, Example, Formula, Validity
from railwright.handbook.sources import bell, boylestad, neamen, sedra
from railwright.handbook.symbols import quantity

_INPUT = quantity("input_voltage", r"V_{\mathrm{in}}", "V", "voltage before the resistor")
_ZENER = quantity("zener_voltage", "V_Z", "V", "voltage of the zener")
_RESISTOR = quantity("series_resistance", "R_s", "ohm", "series resistor")
_SLOPE = quantity("zener_resistance", "r_Z", "ohm", "slope resistance of the zener")
_KNEE = quantity("zener_knee_voltage", "V_{Z0}", "V", "zener voltage run back to zero current along its slope")
_GREATEST = quantity("zener_maximum_current", r"I_{Z,\mathrm{max}}", "A", "greatest current in the zener")
_LEAST = quantity("zener_minimum_current", r"I_{Z,\mathrm{min}}", "A", "least current in the zener", "not negative")
_FIXED = Assumption(claim="keeps the zener's voltage the same at every current")
_STRAIGHT = Assumption(claim="takes the zener's curve for a straight line above its knee")
_REGULATES = "Valid while the zener conducts."
_LOAD_RANGE = boylestad("Ex. 2.27")
_SLOPES = sedra("Ex. 3.8, p. 169")
_LIMIT = bell("Ex. 3.17, p. 110")


def _above(input_voltage: float, zener_voltage: float) -> float:
    if input_voltage <= zener_voltage:
        raise ValueError(
            f"an input of {input_voltage:g} V never reaches the zener's {zener_voltage:g} V. "
            "Take a higher winding voltage."
        )
    return input_voltage - zener_voltage


def zener_least_load_resistance(*, input_voltage: float, zener_voltage: float, series_resistance: float) -> float:
    """Least load resistance at which the zener still conducts. [ohm] Raises ValueError for too low an input."""
    return series_resistance * zener_voltage / _above(input_voltage, zener_voltage)


def zener_least_load_current(
    *, input_voltage: float, zener_voltage: float, series_resistance: float, zener_maximum_current: float
) -> float:
    """Load current below which the zener takes more than it may. [A] Raises ValueError for too low an input."""
    return _above(input_voltage, zener_voltage) / series_resistance - zener_maximum_current


def zener_greatest_load_resistance(
    *, input_voltage: float, zener_voltage: float, series_resistance: float, zener_maximum_current: float
) -> float:
    """Greatest load resistance that spares the zener. [ohm] Raises ValueError where every resistance does."""
    least = zener_least_load_current(
        input_voltage=input_voltage,
        zener_voltage=zener_voltage,
        series_resistance=series_resistance,
        zener_maximum_current=zener_maximum_current,
    )
    if least <= 0.0:
        raise ValueError("the zener bears its current even without a load: every load resistance is allowed.")
    return zener_voltage / least


def zener_power(*, zener_voltage: float, zener_current: float) -> float:
    """Heat in a zener. [W]"""
    return zener_voltage * zener_current


def zener_current_limit(*, power_rating: float, zener_voltage: float) -> float:
    """Greatest current that the zener's power rating allows. [A]"""
    return power_rating / zener_voltage


def zener_greatest_load_current(*, zener_maximum_current: float, zener_minimum_current: float) -> float:
    """Load current that may come and go without overloading or starving the zener. [A]"""
    return zener_maximum_current - zener_minimum_current


def zener_knee_voltage(*, zener_test_voltage: float, zener_resistance: float, zener_test_current: float) -> float:
    """Zener voltage run back to zero current along its slope. [V]"""
    return zener_test_voltage - zener_resistance * zener_test_current


def zener_output_no_load(
    *, input_voltage: float, zener_knee_voltage: float, zener_resistance: float, series_resistance: float
) -> float:
    """Voltage of an unloaded zener. [V] Raises ValueError for too low an input."""
    current = _above(input_voltage, zener_knee_voltage) / (series_resistance + zener_resistance)
    return zener_knee_voltage + zener_resistance * current


def zener_line_step(*, zener_resistance: float, series_resistance: float) -> float:
    """Change of the output for each volt of change of the input. [1]"""
    return zener_resistance / (series_resistance + zener_resistance)


def zener_output_resistance(*, zener_resistance: float, series_resistance: float) -> float:
    """Fall of the output for each ampere of load. [ohm]"""
    return zener_resistance * series_resistance / (zener_resistance + series_resistance)


def zener_output_resistance_slope(*, zener_resistance: float) -> float:
    """Fall of the output for each ampere of load, series resistor left out. [ohm]"""
    return zener_resistance


def zener_regulation(
    *, zener_resistance: float, zener_maximum_current: float, zener_minimum_current: float, output_voltage: float
) -> float:
    """Change of the output between the zener's greatest and least current, over the nominal output. [1]"""
    return zener_resistance * (zener_maximum_current - zener_minimum_current) / output_voltage


FORMULAS = (
    Formula(
        id="zener-least-load-resistance",
        topic="zener",
        title="Least load resistance of a zener regulator",
        statement=r"R_{\mathrm{min}} = \frac{R_s V_Z}{V_{\mathrm{in}} - V_Z}",
        quantities=(_INPUT, _ZENER, _RESISTOR),
        result=quantity("load_resistance", r"R_{\mathrm{min}}", "ohm", "least load resistance"),
        function=zener_least_load_resistance,
        assumptions=(_FIXED, Assumption(claim="lets the zener's current fall to nothing")),
        validity=Validity(sentence=_REGULATES),
        source=_LOAD_RANGE,
        example=Example(
            values={"input_voltage": 50.0, "zener_voltage": 10.0, "series_resistance": 1000.0},
            expected=250.0,
            tolerance=1e-3,
            source=_LOAD_RANGE,
        ),
    ),
    Formula(
        id="zener-least-load-current",
        topic="zener",
        title="Least load current that spares the zener",
        statement=r"I_{\mathrm{min}} = \frac{V_{\mathrm{in}} - V_Z}{R_s} - I_{Z,\mathrm{max}}",
        quantities=(_INPUT, _ZENER, _RESISTOR, _GREATEST),
        result=quantity(
            "load_current", r"I_{\mathrm{min}}", "A", "least load current; negative: none is needed", "any"
        ),
        function=zener_least_load_current,
        assumptions=(_FIXED,),
        validity=Validity(sentence=_REGULATES),
        source=_LOAD_RANGE,
        example=Example(
            values={
                "input_voltage": 50.0,
                "zener_voltage": 10.0,
                "series_resistance": 1000.0,
                "zener_maximum_current": 0.032,
            },
            expected=0.008,
            tolerance=1e-3,
            source=_LOAD_RANGE,
        ),
    ),
    Formula(
        id="zener-greatest-load-resistance",
        topic="zener",
        title="Greatest load resistance that spares the zener",
        statement=r"R_{\mathrm{max}} = \frac{V_Z}{(V_{\mathrm{in}} - V_Z)/R_s - I_{Z,\mathrm{max}}}",
        quantities=(_INPUT, _ZENER, _RESISTOR, _GREATEST),
        result=quantity("load_resistance", r"R_{\mathrm{max}}", "ohm", "greatest load resistance"),
        function=zener_greatest_load_resistance,
        assumptions=(_FIXED,),
        validity=Validity(sentence=_REGULATES),
        source=_LOAD_RANGE,
        example=Example(
            values={
                "input_voltage": 50.0,
                "zener_voltage": 10.0,
                "series_resistance": 1000.0,
                "zener_maximum_current": 0.032,
            },
            expected=1250.0,
            tolerance=1e-3,
            source=_LOAD_RANGE,
        ),
    ),
    Formula(
        id="zener-power",
        topic="zener",
        title="Heat in a zener",
        statement=r"P_Z = V_Z I_Z",
        quantities=(_ZENER, quantity("zener_current", "I_Z", "A", "current in the zener", "not negative")),
        result=quantity("power", "P_Z", "W", "heat in the zener", "not negative"),
        function=zener_power,
        assumptions=(_FIXED,),
        validity=Validity(sentence="Valid while the zener conducts. Hot parts burn."),
        source=_LOAD_RANGE,
        example=Example(
            values={"zener_voltage": 10.0, "zener_current": 0.032}, expected=0.32, tolerance=1e-3, source=_LOAD_RANGE
        ),
        readings=("Z*.power.mean",),
    ),
    Formula(
        id="zener-current-limit",
        topic="zener",
        title="Greatest zener current from the power rating",
        statement=r"I_{Z,\mathrm{max}} = \frac{P}{V_Z}",
        quantities=(quantity("power_rating", "P", "W", "power that the zener may turn into heat"), _ZENER),
        result=_GREATEST,
        function=zener_current_limit,
        assumptions=(_FIXED,),
        validity=Validity(sentence="Valid up to the temperature from which the rating falls."),
        source=_LIMIT,
        example=Example(
            values={"power_rating": 0.4, "zener_voltage": 6.2}, expected=0.0645, tolerance=8e-4, source=_LIMIT
        ),
    ),
    Formula(
        id="zener-greatest-load-current",
        topic="zener",
        title="Greatest load current of a zener regulator",
        statement=r"I_{\mathrm{max}} = I_{Z,\mathrm{max}} - I_{Z,\mathrm{min}}",
        quantities=(_GREATEST, _LEAST),
        result=quantity("load_current", r"I_{\mathrm{max}}", "A", "greatest load current", "any"),
        function=zener_greatest_load_current,
        assumptions=(_FIXED, Assumption(claim="keeps the current in the series resistor the same")),
        validity=Validity(sentence="Valid for a steady input and a load that may be taken off."),
        source=_LIMIT,
        example=Example(
            values={"zener_maximum_current": 0.0645, "zener_minimum_current": 0.005},
            expected=0.0595,
            tolerance=8.6e-4,
            source=_LIMIT,
        ),
    ),
    Formula(
        id="zener-knee-voltage",
        topic="zener",
        title="Zener voltage run back to zero current",
        statement=r"V_{Z0} = V_{ZT} - r_Z I_{ZT}",
        quantities=(
            quantity("zener_test_voltage", "V_{ZT}", "V", "zener voltage at the test current"),
            _SLOPE,
            quantity("zener_test_current", "I_{ZT}", "A", "test current"),
        ),
        result=_KNEE,
        function=zener_knee_voltage,
        assumptions=(_STRAIGHT,),
        validity=Validity(sentence="Valid on the straight part of the curve."),
        source=_SLOPES,
        # 6.8 V less 20 ohm times 5 mA.
        example=Example(
            values={"zener_test_voltage": 6.8, "zener_resistance": 20.0, "zener_test_current": 0.005},
            expected=6.7,
            tolerance=1e-9,
            source=_SLOPES,
        ),
    ),
    Formula(
        id="zener-output-no-load",
        topic="zener",
        title="Output of a zener without a load",
        statement=r"V = V_{Z0} + r_Z\,\frac{V_{\mathrm{in}} - V_{Z0}}{R_s + r_Z}",
        quantities=(_INPUT, _KNEE, _SLOPE, _RESISTOR),
        result=quantity("no_load_voltage", "V", "V", "output without load"),
        function=zener_output_no_load,
        assumptions=(_STRAIGHT,),
        validity=Validity(sentence=_REGULATES),
        source=_SLOPES,
        example=Example(
            values={
                "input_voltage": 10.0,
                "zener_knee_voltage": 6.7,
                "zener_resistance": 20.0,
                "series_resistance": 500.0,
            },
            expected=6.83,
            tolerance=2e-3,
            source=_SLOPES,
        ),
        readings=("load.voltage.no_load_mean",),
    ),
    Formula(
        id="zener-line-step",
        topic="zener",
        title="Output change for each volt of input change",
        statement=r"\frac{\Delta V_{\mathrm{out}}}{\Delta V_{\mathrm{in}}} = \frac{r_Z}{R_s + r_Z}",
        quantities=(_SLOPE, _RESISTOR),
        result=quantity("line_step", r"\Delta V_{\mathrm{out}}/\Delta V_{\mathrm{in}}", "1", "volt out for a volt in"),
        function=zener_line_step,
        assumptions=(_STRAIGHT, Assumption(claim="leaves out the load, which is much larger than the slope")),
        validity=Validity(sentence=_REGULATES),
        source=_SLOPES,
        example=Example(
            values={"zener_resistance": 20.0, "series_resistance": 500.0},
            expected=0.0385,
            tolerance=2e-3,
            source=_SLOPES,
        ),
    ),
    Formula(
        id="zener-output-resistance",
        topic="zener",
        title="Output resistance of a zener regulator",
        statement=r"r_o = \frac{r_Z R_s}{r_Z + R_s}",
        quantities=(_SLOPE, _RESISTOR),
        result=quantity("output_resistance", "r_o", "ohm", "fall of the output for each ampere of load"),
        function=zener_output_resistance,
        assumptions=(_STRAIGHT,),
        validity=Validity(sentence=_REGULATES),
        source=_SLOPES,
        # 20 ohm beside 500 ohm.
        example=Example(
            values={"zener_resistance": 20.0, "series_resistance": 500.0},
            expected=19.2,
            tolerance=2e-3,
            source=_SLOPES,
        ),
        readings=("load.output_resistance",),
    ),
    Formula(
        id="zener-output-resistance-slope",
        topic="zener",
        title="Output resistance of a zener regulator, its slope alone",
        statement=r"r_o \approx r_Z",
        quantities=(_SLOPE,),
        result=quantity("output_resistance", "r_o", "ohm", "fall of the output for each ampere of load"),
        function=zener_output_resistance_slope,
        assumptions=(_STRAIGHT, Assumption(claim="leaves out the series resistor, which stands beside the slope")),
        validity=Validity(sentence="Valid while the slope is far below the series resistor."),
        source=_SLOPES,
        example=Example(values={"zener_resistance": 20.0}, expected=20.0, tolerance=2e-3, source=_SLOPES),
        readings=("load.output_resistance",),
    ),
    Formula(
        id="zener-regulation",
        topic="zener",
        title="Regulation of a zener between its greatest and least current",
        statement=r"r = \frac{r_Z\,(I_{Z,\mathrm{max}} - I_{Z,\mathrm{min}})}{V}",
        quantities=(
            _SLOPE,
            _GREATEST,
            _LEAST,
            quantity("output_voltage", "V", "V", "nominal output"),
        ),
        result=quantity("regulation", "r", "1", "change over the nominal output", "any"),
        function=zener_regulation,
        assumptions=(_STRAIGHT,),
        validity=Validity(sentence=_REGULATES),
        source=neamen("Ex. 2.5, p. 68"),
        example=Example(
            values={
                "zener_resistance": 4.0,
                "zener_maximum_current": 0.3,
                "zener_minimum_current": 0.03,
                "output_voltage": 9.0,
            },
            expected=0.12,
            tolerance=4.3e-3,
            source=neamen("Ex. 2.5, p. 68"),
        ),
    ),
)
