"""The charging pulses: angle, mean and peak, with and without resistance in the path, and a battery on charge."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import cited, equal, given, order
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_FROM_PEAK = given(
    "load_voltage(theta) = load_peak*cos(theta)", "Kirchhoff's voltage law", "angle counted from the peak of the sine"
)
_RIPPLE = given(
    "ripple_peak_to_peak = load_peak - load_voltage(start)",
    "switching condition of the diode",
    "charging starts where the sine meets the valley",
)
_PARABOLA = order(
    "ripple_peak_to_peak = load_peak*start**2/2",
    "the cosine near its peak is a parabola",
    small="start",
    through="start",
    order=3,
    reach=0.45,
    error=0.0172,
)
_SMALL_ANGLE: Lines = (
    _FROM_PEAK,
    _RIPPLE,
    _PARABOLA,
    equal("start = sqrt(2*ripple_peak_to_peak/load_peak)", "solved for the angle"),
)
_START_CITED = given(
    "start = sqrt(2*ripple_peak_to_peak/load_peak)", "formula conduction-angle-small-ripple", "in radians"
)
_KCL = given(
    "diode_current(theta) = load_current + capacitor_current(theta)",
    "Kirchhoff's current law",
    "the diode feeds capacitor and load",
)


def _mean_conducting(pulses: str, result: str) -> Lines:
    return (
        given("pulse_charge = capacitance*ripple_peak_to_peak", "law of the capacitor", "what one pulse brings back"),
        given(
            f"capacitance = load_current/({pulses}*mains_frequency*ripple_peak_to_peak)",
            "formula capacitance-for-ripple",
            "it is what the load took in the time between two pulses",
        ),
        _START_CITED,
        given("conduction_time = start/(2*pi*mains_frequency)", "definition of the angle"),
        given(
            "diode_current_mean_conducting = load_current + pulse_charge/conduction_time",
            "Kirchhoff's current law",
            "mean while conducting",
        ),
        equal(f"diode_current_mean_conducting = {result}", "frequency and capacitance drop out"),
    )


def _peak(pulses: str, result: str) -> Lines:
    return (
        given(
            "capacitor_peak = 2*pi*mains_frequency*capacitance*load_peak*sin(start)",
            "law of the capacitor",
            "the slope of the sine where charging starts",
        ),
        order(
            "capacitor_peak = 2*pi*mains_frequency*capacitance*load_peak*start",
            "a small angle for its sine",
            small="start",
            through="start",
            order=2,
            reach=0.45,
            error=0.0346,
        ),
        _START_CITED,
        given(
            f"capacitance = load_current/({pulses}*mains_frequency*ripple_peak_to_peak)",
            "formula capacitance-for-ripple",
        ),
        given("diode_current_peak = load_current + capacitor_peak", "Kirchhoff's current law"),
        equal(f"diode_current_peak = {result}", "frequency and capacitance drop out"),
    )


_STANDING = given(
    "current(theta) = (load_peak*cos(theta) - load_mean)/source_resistance",
    "Kirchhoff's voltage law, Ohm's law",
    "while the diodes conduct, angle counted from the peak; the capacitor's voltage stands still",
)
_ENDS = given(
    "load_mean = load_peak*cos(alpha)", "switching condition of the diode", "conduction ends where the current is zero"
)
_ALPHA = given("alpha = pi*conduction_angle/360", "degrees into radians")
_RAD = "(pi*conduction_angle/360)"

_OVER = given(
    "current(theta) = (source_peak*sin(theta) - battery_voltage)/path_resistance",
    "Kirchhoff's voltage law, Ohm's law",
    "while the sine exceeds the battery",
)
_BEGINS = given(
    "start = asin(battery_voltage/source_peak)", "switching condition of the diode", "the sine passes the battery"
)
_BATTERY_ANGLE = "asin(battery_voltage/source_peak)"

DERIVATIONS: Mapping[str, Lines] = {
    "conduction-angle-small-ripple": (
        *_SMALL_ANGLE,
        given("conduction_angle = 180/pi*start", "radians into degrees", "from the start to the peak"),
        equal("conduction_angle = 180/pi*sqrt(2*ripple_peak_to_peak/load_peak)", "put in"),
    ),
    "rectifier-conduction-angle": (
        *_SMALL_ANGLE,
        given("conduction_angle = pulses*180/pi*start", "radians into degrees", "all pulses of a period"),
        equal("conduction_angle = pulses*180/pi*sqrt(2*ripple_peak_to_peak/load_peak)", "put in"),
    ),
    "conduction-angle-exact-start": (
        _FROM_PEAK,
        given(
            "load_voltage(start) = load_peak - ripple_peak_to_peak",
            "switching condition of the diode",
            "charging starts where the sine meets the valley",
        ),
        equal("start = acos(1 - ripple_peak_to_peak/load_peak)", "solved for the angle"),
        given("conduction_angle = 180/pi*start", "radians into degrees"),
        equal("conduction_angle = 180/pi*acos(1 - ripple_peak_to_peak/load_peak)", "put in"),
    ),
    "charging-start-angle": (
        given("load_voltage(theta) = load_peak*sin(theta)", "Kirchhoff's voltage law", "drops left out"),
        given("load_voltage(start) = load_valley", "switching condition of the diode"),
        equal("start = asin(load_valley/load_peak)", "solved for the angle"),
        given("start_angle = 180/pi*start", "radians into degrees"),
        equal("start_angle = 180/pi*asin(load_valley/load_peak)", "put in"),
    ),
    "half-wave-diode-mean-conducting": _mean_conducting(
        "1", "load_current*(1 + pi*sqrt(2*load_peak/ripple_peak_to_peak))"
    ),
    "full-wave-diode-mean-conducting": _mean_conducting(
        "2", "load_current*(1 + pi*sqrt(load_peak/(2*ripple_peak_to_peak)))"
    ),
    "half-wave-diode-peak": _peak("1", "load_current*(1 + 2*pi*sqrt(2*load_peak/ripple_peak_to_peak))"),
    "full-wave-diode-peak": _peak("2", "load_current*(1 + 2*pi*sqrt(load_peak/(2*ripple_peak_to_peak)))"),
    "diode-mean-small-ripple": (
        cited(
            "full-wave-diode-mean-conducting",
            "conducting = load_current*(1 + pi*sqrt(load_peak/(2*ripple_peak_to_peak)))",
        ),
        _START_CITED,
        given("load_current = load_peak/load_resistance", "Ohm's law", "the current at the peak"),
        given("diode_current_mean = start/(2*pi)*conducting", "definition of the mean", "over the whole period"),
        equal(
            "diode_current_mean = sqrt(2*ripple_peak_to_peak/load_peak)/(2*pi)*load_peak/load_resistance"
            "*(1 + pi*sqrt(load_peak/(2*ripple_peak_to_peak)))",
            "put in",
        ),
    ),
    "repetitive-peak-rectangular": (
        given("charge_in = repetitive_peak*conduction_time", "rectangular pulse"),
        given("charge_out = load_current*(discharge_time + conduction_time)", "definition of the mean current"),
        given("charge_in - charge_out = 0", "charge balance"),
        equal("repetitive_peak = load_current*(discharge_time + conduction_time)/conduction_time", "solved"),
    ),
    "surge-limiting-resistance": (
        given(
            "source_peak = series_resistance*surge_current + capacitor_voltage", "Kirchhoff's voltage law, Ohm's law"
        ),
        given("capacitor_voltage = 0", "state at the start", "the capacitor is empty"),
        equal("series_resistance = source_peak/surge_current", "solved"),
    ),
    "large-capacitor-angle": (
        _STANDING,
        _ENDS,
        given(
            "pulses*Integral(current(theta), (theta, -alpha, alpha))/(2*pi) = load_mean/load_resistance",
            "charge balance",
            "what all pulses bring in a period is what the load takes",
        ),
        given("source_resistance = resistance_ratio*load_resistance", "definition of the ratio"),
        equal("tan(alpha) - alpha = pi*resistance_ratio/pulses", "integrated and divided by the cosine"),
        _ALPHA,
        equal(f"tan{_RAD} - {_RAD[1:-1]} = pi*resistance_ratio/pulses", "in degrees; it is solved by halving"),
    ),
    "large-capacitor-mean": (
        _STANDING,
        given("current(alpha) = 0", "switching condition of the diode", "conduction ends where the current is zero"),
        equal("load_mean = load_peak*cos(alpha)", "solved"),
        _ALPHA,
        equal(f"load_mean = load_peak*cos{_RAD}", "in degrees"),
    ),
    "large-capacitor-current-peak": (
        _STANDING,
        _ENDS,
        given("diode_current_peak = current(0)", "definition of the peak", "at the peak of the sine"),
        _ALPHA,
        equal(f"diode_current_peak = load_peak*(1 - cos{_RAD})/source_resistance", "put in"),
    ),
    "large-capacitor-current-ratio": (
        _STANDING,
        _ENDS,
        given("load_current = pulses*Integral(current(theta), (theta, -alpha, alpha))/(2*pi)", "charge balance"),
        given(
            "square = pulses*Integral(current(theta)**2, (theta, -alpha, alpha))/(2*pi)",
            "definition of the mean square",
        ),
        given("over_dc = sqrt(square)/load_current", "definition of this ratio"),
        equal(
            "over_dc = sqrt(pi/(2*pulses)*(alpha + 2*alpha*cos(alpha)**2 - 3*sin(alpha)*cos(alpha)))"
            "/(sin(alpha) - alpha*cos(alpha))",
            "integrated; peak and resistance drop out",
        ),
        _ALPHA,
        equal(
            f"over_dc = sqrt(pi/(2*pulses)*({_RAD} + 2*{_RAD}*cos{_RAD}**2 - 3*sin{_RAD}*cos{_RAD}))"
            f"/(sin{_RAD} - {_RAD}*cos{_RAD})",
            "in degrees",
        ),
    ),
    "battery-conduction-angle": (
        _OVER,
        given("current(start) = 0", "switching condition of the diode", "the sine passes the battery"),
        equal(f"start = {_BATTERY_ANGLE}", "solved"),
        given("conduction_angle = 180/pi*(pi - 2*start)", "symmetry of the hump", "in degrees"),
        equal(f"conduction_angle = 180 - 360/pi*{_BATTERY_ANGLE}", "put in"),
    ),
    "battery-current-mean": (
        _OVER,
        _BEGINS,
        given(
            "load_current_mean = pulses*Integral(current(theta), (theta, start, pi - start))/(2*pi)",
            "definition of the mean",
        ),
        equal(
            "load_current_mean = pulses/(2*pi*path_resistance)*(2*source_peak*cos(start)"
            " - battery_voltage*(pi - 2*start))",
            "integrated",
        ),
        equal(
            f"load_current_mean = pulses/(2*pi*path_resistance)*(2*source_peak*cos({_BATTERY_ANGLE})"
            f" - battery_voltage*(pi - 2*{_BATTERY_ANGLE}))",
            "in the formula's own quantities",
        ),
    ),
    "battery-current-peak": (
        _OVER,
        given("load_current_peak = current(pi/2)", "definition of the peak"),
        equal("load_current_peak = (source_peak - battery_voltage)/path_resistance", "put in"),
    ),
    "battery-power": (
        given("power = Integral(battery_voltage*current(theta), (theta, 0, 2*pi))/(2*pi)", "definition of the power"),
        given("charging_current = Integral(current(theta), (theta, 0, 2*pi))/(2*pi)", "definition of the mean"),
        equal("power = battery_voltage*charging_current", "the constant EMF stands before the integral"),
    ),
}

NOTES: Mapping[str, str] = {
    "winding-current-by-rule": "It is a rule of makers: a number that stands for their transformers.",
}
