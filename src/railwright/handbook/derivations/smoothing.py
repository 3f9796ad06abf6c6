"""The reservoir: its discharge by straight line and exponential, the exact solution, and discharge after switch-off."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import approximation, cited, equal, given, order
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_AT_PEAK = given("voltage(0) = load_peak", "switching condition of the diode", "the discharge starts at the peak")
_STRAIGHT: Lines = (
    given(
        "capacitance*Derivative(voltage(t), t) = -load_current",
        "law of the capacitor, charge balance",
        "the diodes are off: the capacitor alone feeds the load",
    ),
    _AT_PEAK,
    equal("voltage(t) = load_peak - load_current*t/capacitance", "integrated: a straight line"),
)
_RIPPLE_BY_LINE: Lines = (
    *_STRAIGHT,
    given(
        "fall_time = 1/recharge_frequency - conduction_time",
        "switching condition of the diode",
        "the discharge ends where the next pulse starts",
    ),
    given("ripple_peak_to_peak = voltage(0) - voltage(fall_time)", "definition of the ripple"),
    approximation(
        "fall_time = 1/recharge_frequency",
        "charging takes no time",
        "the pulse is short beside the time between two",
        small="conduction_time*recharge_frequency",
        through="conduction_time",
        reach=0.1,
        error=0.112,
    ),
    equal("ripple_peak_to_peak = load_current/(recharge_frequency*capacitance)", "put in"),
)
_RIPPLE_OF_TIME: Lines = (
    *_STRAIGHT,
    given("ripple_peak_to_peak = voltage(0) - voltage(discharge_time)", "definition of the ripple"),
    equal("ripple_peak_to_peak = load_current*discharge_time/capacitance", "put in"),
)
_EXPONENTIAL: Lines = (
    given(
        "capacitance*Derivative(voltage(t), t) = -voltage(t)/load_resistance",
        "law of the capacitor, charge balance, Ohm's law",
        "the diodes are off: the capacitor alone feeds the load",
    ),
    _AT_PEAK,
    equal("voltage(t) = load_peak*exp(-t/(load_resistance*capacitance))", "the discharge law"),
    given(
        "ripple_peak_to_peak = voltage(0) - voltage(discharge_time)",
        "definition of the ripple",
        "the discharge lasts for the whole time between two peaks",
    ),
    equal("ripple_peak_to_peak = load_peak*(1 - exp(-discharge_time/(load_resistance*capacitance)))", "put in"),
)
_MID = "2*load_peak/(1 + 2*load_resistance*capacitance/discharge_time)"
_MID_VOLTAGE: Lines = (
    *_EXPONENTIAL,
    order(
        f"ripple_peak_to_peak = {_MID}",
        "the exponential's first two orders: a straight line with the current of the mid voltage",
        small="discharge_time/(load_resistance*capacitance)",
        through="discharge_time",
        order=2,
        reach=0.5,
        error=0.0167,
    ),
)
_SAW = given(
    "ripple_voltage(t) = ripple_peak_to_peak*(1/2 - t/period)", "sawtooth", "the ripple taken for a straight fall"
)
_SAW_RMS: Lines = (
    _SAW,
    given("ripple_rms**2 = Integral(ripple_voltage(t)**2, (t, 0, period))/period", "definition of the RMS"),
    equal("ripple_rms**2 = ripple_peak_to_peak**2/12", "integrated"),
    equal("ripple_rms = ripple_peak_to_peak/(2*sqrt(3))", "the root"),
)
_FACTOR: Lines = (
    cited("ripple-straight-line", "ripple_peak_to_peak = load_current/(recharge_frequency*capacitance)"),
    given("load_current = load_mean/load_resistance", "Ohm's law"),
    cited("ripple-rms-sawtooth", "ripple_rms = ripple_peak_to_peak/(2*sqrt(3))"),
    given("ripple_factor = ripple_rms/load_mean", "definition of the ripple factor"),
    equal("ripple_factor = 1/(2*sqrt(3)*recharge_frequency*capacitance*load_resistance)", "the mean drops out"),
)
_MEAN_OF_RC: Lines = (
    given(
        "load_mean + ripple_peak_to_peak/2 = load_peak", "sawtooth", "the mean lies half-way between peak and valley"
    ),
    cited("ripple-straight-line", "ripple_peak_to_peak = load_current/(recharge_frequency*capacitance)"),
    given("load_current = load_mean/load_resistance", "Ohm's law"),
    equal("load_mean = load_peak/(1 + 1/(2*recharge_frequency*load_resistance*capacitance))", "solved for the mean"),
)
_AFTER: Lines = (
    given(
        "capacitance*Derivative(voltage(t), t) = -voltage(t)/load_resistance",
        "law of the capacitor, charge balance, Ohm's law",
        "the capacitor alone feeds the resistor",
    ),
    given("voltage(0) = initial_voltage", "state at the start"),
    equal("voltage(t) = initial_voltage*exp(-t/(load_resistance*capacitance))", "the discharge law"),
)

# The exact reservoir. Angles in radians inside, in degrees at the end.
_START_RAD, _END_RAD = "(pi*start_angle/180)", "(pi*end_angle/180)"
_HUMP = given(
    "load_voltage(theta) = load_peak*sin(theta)", "Kirchhoff's voltage law", "ideal diodes: the load follows the source"
)
_NORMALISED = given(
    "normalised_time_constant = omega*load_resistance*capacitance",
    "definition of this number",
    "the three together are one number: the time constant in radians of the mains",
)
_CHARGING = given(
    "current(theta) = omega*capacitance*Derivative(load_voltage(theta), theta) + load_voltage(theta)/load_resistance",
    "Kirchhoff's current law, law of the capacitor, Ohm's law",
    "while the diodes conduct",
)
_FALL = given(
    "omega*capacitance*Derivative(voltage(theta), theta) = -voltage(theta)/load_resistance",
    "law of the capacitor, charge balance",
    "while the diodes are off",
)
_THETA_1 = given(f"theta_1 = {_START_RAD[1:-1]}", "degrees into radians")
_THETA_2 = given(f"theta_2 = {_END_RAD[1:-1]}", "degrees into radians")
_DISCHARGED = "sin(theta_2)*exp(-(theta - theta_2)/normalised_time_constant)"
_NEXT = "theta_3"
_MEET = given(
    "theta_3 = theta_2 + normalised_time_constant*log(sin(theta_2)/sin(theta_1))",
    "switching condition of the diode, the discharge law",
    "the next hump is met where the capacitor has fallen to the sine of the start",
)


_SIN_SQUARES = f"(sin({_END_RAD})**2 - sin({_START_RAD})**2)"
_DOUBLE = f"(sin(2*{_END_RAD}) - sin(2*{_START_RAD}))"
_HALF_SPAN = f"({_END_RAD} - {_START_RAD})/2"
_SPAN_SINES = "(sin(theta_2)**2 - sin(theta_1)**2)"

DERIVATIONS: Mapping[str, Lines] = {
    "load-current-of-power": (
        given("energy = power*t", "definition of power"),
        given("energy = load_peak*load_current*t", "definition of power", "at a steady voltage"),
        equal("load_current = power/load_peak", "the time drops out"),
    ),
    "ripple-straight-line": _RIPPLE_BY_LINE,
    "capacitance-for-ripple": (
        *_RIPPLE_BY_LINE,
        equal("capacitance = load_current/(recharge_frequency*ripple_peak_to_peak)", "solved for the capacitance"),
    ),
    "ripple-of-discharge-time": _RIPPLE_OF_TIME,
    "capacitance-for-discharge-time": (
        *_RIPPLE_OF_TIME,
        equal("capacitance = load_current*discharge_time/ripple_peak_to_peak", "solved for the capacitance"),
    ),
    "ripple-trade": _MID_VOLTAGE,
    "capacitance-for-ripple-trade": (
        *_MID_VOLTAGE,
        equal(
            "capacitance = discharge_time/(2*load_resistance)*(2*load_peak/ripple_peak_to_peak - 1)",
            "solved for the capacitance",
        ),
    ),
    "ripple-exponential": _EXPONENTIAL,
    "capacitance-for-ripple-exponential": (
        *_EXPONENTIAL,
        equal(
            "capacitance = -discharge_time/(load_resistance*log(1 - ripple_peak_to_peak/load_peak))",
            "solved for the capacitance",
        ),
    ),
    "load-mean-less-half-ripple": (
        given("voltage(t) = load_peak - ripple_peak_to_peak*t/period", "sawtooth", "a straight fall, a sudden rise"),
        given("load_mean = Integral(voltage(t), (t, 0, period))/period", "definition of the mean"),
        equal("load_mean = load_peak - ripple_peak_to_peak/2", "integrated"),
    ),
    "load-valley-less-ripple": (
        given("voltage(t) = load_peak - ripple_peak_to_peak*t/period", "sawtooth"),
        given("load_valley = voltage(period)", "definition of the valley", "the end of the fall"),
        equal("load_valley = load_peak - ripple_peak_to_peak", "put in"),
    ),
    "load-mean-of-time-constant": _MEAN_OF_RC,
    "reservoir-regulation": (
        given("no_load_voltage = load_peak", "charge balance", "without a load the capacitor keeps the peak"),
        cited(
            "load-mean-of-time-constant",
            "load_mean = load_peak/(1 + 1/(2*recharge_frequency*load_resistance*capacitance))",
        ),
        given("regulation = (no_load_voltage - load_mean)/load_mean", "definition of the regulation"),
        equal("regulation = 1/(2*recharge_frequency*load_resistance*capacitance)", "the peak drops out"),
    ),
    "reservoir-line-regulation": (
        given(
            "high_mean = share*(mains_high*source_peak - diodes_in_path*diode_drop)",
            "Kirchhoff's voltage law",
            "with a resistive load the mean is the same share of every peak",
        ),
        given("low_mean = share*(mains_low*source_peak - diodes_in_path*diode_drop)", "Kirchhoff's voltage law"),
        given("regulation = (high_mean - low_mean)/low_mean", "definition of the line regulation"),
        equal(
            "regulation = (mains_high - mains_low)*source_peak/(mains_low*source_peak - diodes_in_path*diode_drop)",
            "share and difference of the drops drop out",
        ),
    ),
    "ripple-rms-sawtooth": _SAW_RMS,
    "ripple-rms-as-sine": (
        given("ripple_voltage(theta) = ripple_peak_to_peak/2*sin(theta)", "ripple taken for a sine"),
        given("ripple_rms**2 = Integral(ripple_voltage(theta)**2, (theta, 0, 2*pi))/(2*pi)", "definition of the RMS"),
        equal("ripple_rms**2 = ripple_peak_to_peak**2/8", "integrated"),
        equal("ripple_rms = ripple_peak_to_peak/(2*sqrt(2))", "the root"),
    ),
    "ripple-factor-sawtooth": _FACTOR,
    "capacitance-for-ripple-factor": (
        *_FACTOR,
        equal("capacitance = 1/(2*sqrt(3)*recharge_frequency*ripple_factor*load_resistance)", "solved"),
    ),
    "capacitor-ripple-current": (
        given(
            "capacitor_current(theta) = amplitude*cos(theta) + second_amplitude*cos(2*theta)",
            "charge balance, Fourier's theorem",
            "a capacitor's current has no mean; two harmonics stand for all",
        ),
        given("current(theta) = load_current + capacitor_current(theta)", "Kirchhoff's current law"),
        given(
            "charging_current_rms**2 = Integral(current(theta)**2, (theta, 0, 2*pi))/(2*pi)", "definition of the RMS"
        ),
        given(
            "capacitor_current_rms**2 = Integral(capacitor_current(theta)**2, (theta, 0, 2*pi))/(2*pi)",
            "definition of the RMS",
        ),
        equal("charging_current_rms**2 = load_current**2 + capacitor_current_rms**2", "mixed products average to zero"),
        equal("capacitor_current_rms = sqrt(charging_current_rms**2 - load_current**2)", "solved"),
    ),
    "time-constant": (
        *_AFTER,
        given("voltage(time_constant) = initial_voltage*exp(-1)", "definition of the time constant"),
        equal("time_constant = load_resistance*capacitance", "the exponents are equal"),
    ),
    "voltage-after-discharge": (
        *_AFTER,
        given("remaining_voltage = voltage(elapsed_time)", "the moment asked for"),
        equal("remaining_voltage = initial_voltage*exp(-elapsed_time/(load_resistance*capacitance))", "put in"),
    ),
    "discharge-time": (
        *_AFTER,
        given("final_voltage = voltage(elapsed_time)", "the moment asked for"),
        equal("elapsed_time = load_resistance*capacitance*log(initial_voltage/final_voltage)", "the logarithm"),
    ),
    "bleeder-power": (
        given("bleeder_current = initial_voltage/load_resistance", "Ohm's law"),
        given("power = initial_voltage*bleeder_current", "definition of power"),
        equal("power = initial_voltage**2/load_resistance", "put in"),
    ),
    "stored-energy": (
        given("charge(x) = capacitance*x", "law of the capacitor", "charge at a voltage x"),
        given(
            "energy = Integral(x*Derivative(charge(x), x), (x, 0, initial_voltage))",
            "definition of the voltage",
            "each bit of charge is lifted to the voltage that the capacitor then has",
        ),
        equal("energy = capacitance*initial_voltage**2/2", "integrated"),
    ),
    "exact-end-of-conduction": (
        _HUMP,
        _CHARGING,
        _NORMALISED,
        given("current(end) = 0", "switching condition of the diode", "the diodes let go where their current is zero"),
        equal("end = pi - atan(normalised_time_constant)", "the tangent of the end is minus this number"),
        given("end_angle = 180/pi*end", "radians into degrees"),
        equal("end_angle = 180 - 180/pi*atan(normalised_time_constant)", "put in"),
    ),
    "exact-start-of-conduction": (
        _FALL,
        given("voltage(theta_2) = load_peak*sin(theta_2)", "switching condition of the diode", "start of the fall"),
        equal(
            "voltage(theta) = load_peak*sin(theta_2)*exp(-(theta - theta_2)/(omega*load_resistance*capacitance))",
            "the discharge law",
        ),
        given(
            "voltage(theta_1 + 2*pi/pulses)/load_peak = sin(theta_1)",
            "switching condition of the diode",
            "the next hump meets the discharged capacitor",
        ),
        given("omega = normalised_time_constant/(load_resistance*capacitance)", "definition of this number"),
        equal(
            "sin(theta_1) = sin(theta_2)*exp(-(theta_1 + 2*pi/pulses - theta_2)/normalised_time_constant)",
            "the peak drops out",
        ),
        given("theta_1 = pi*start_angle/180", "degrees into radians"),
        given(
            "theta_2 = pi - atan(normalised_time_constant)",
            "formula exact-end-of-conduction",
            "where the diodes let go",
        ),
        equal(
            "sin(pi*start_angle/180) = sin(pi - atan(normalised_time_constant))*exp(-(pi*start_angle/180"
            " + 2*pi/pulses - pi + atan(normalised_time_constant))/normalised_time_constant)",
            "it has no closed solution and is solved by halving",
        ),
    ),
    "exact-conduction-angle": (
        given("span_time = (theta_2 - theta_1)/omega", "definition of the angle", "from start to end of conduction"),
        given("theta_1 = pi*start_angle/180", "degrees into radians"),
        given("theta_2 = pi*end_angle/180", "degrees into radians"),
        given("conduction_angle = 180/pi*omega*span_time", "definition of the angle"),
        equal("conduction_angle = end_angle - start_angle", "put in"),
    ),
    "exact-ripple": (
        _HUMP,
        _THETA_1,
        given(
            "ripple_peak_to_peak = load_voltage(pi/2) - load_voltage(theta_1)",
            "definition of the ripple",
            "the valley lies where conduction starts",
        ),
        equal(f"ripple_peak_to_peak = load_peak*(1 - sin({_START_RAD}))", "put in"),
    ),
    "exact-mean": (
        _THETA_1,
        _THETA_2,
        _HUMP,
        given("voltage(theta) = load_peak*" + _DISCHARGED, "the discharge law"),
        given(
            "load_mean = pulses/(2*pi)*(Integral(load_voltage(theta), (theta, theta_1, theta_2))"
            f" + Integral(voltage(theta), (theta, theta_2, {_NEXT})))",
            "definition of the mean",
        ),
        _MEET,
        equal(
            "load_mean = load_peak*pulses/(2*pi)*(cos(theta_1) - cos(theta_2)"
            " + normalised_time_constant*(sin(theta_2) - sin(theta_1)))",
            "integrated; the end of the fall is the start of the hump",
        ),
        equal(
            f"load_mean = load_peak*pulses/(2*pi)*(cos({_START_RAD}) - cos({_END_RAD})"
            f" + normalised_time_constant*(sin({_END_RAD}) - sin({_START_RAD})))",
            "in degrees",
        ),
    ),
    "exact-rms": (
        _THETA_1,
        _THETA_2,
        _HUMP,
        given("voltage(theta) = load_peak*" + _DISCHARGED, "the discharge law"),
        given(
            "mean_square = pulses/(2*pi)*(Integral(load_voltage(theta)**2, (theta, theta_1, theta_2))"
            f" + Integral(voltage(theta)**2, (theta, theta_2, {_NEXT})))",
            "definition of the mean square",
        ),
        _MEET,
        equal(
            "mean_square = load_peak**2*pulses/(2*pi)*((theta_2 - theta_1)/2 - (sin(2*theta_2) - sin(2*theta_1))/4"
            f" + normalised_time_constant/2*{_SPAN_SINES})",
            "integrated; the end of the fall is the start of the hump",
        ),
        given("load_rms = sqrt(mean_square)", "definition of the RMS"),
        equal(
            f"load_rms = load_peak*sqrt(pulses/(2*pi)*({_HALF_SPAN} - {_DOUBLE}/4"
            f" + normalised_time_constant/2*{_SIN_SQUARES}))",
            "the root, in degrees",
        ),
    ),
    "exact-ripple-rms": (
        given(
            "load_voltage(theta) = load_mean + amplitude*cos(theta) + second_amplitude*cos(2*theta)",
            "Fourier's theorem",
            "a mean and harmonics; two of them stand for all",
        ),
        given("load_rms**2 = Integral(load_voltage(theta)**2, (theta, 0, 2*pi))/(2*pi)", "definition of the RMS"),
        given(
            "ripple_rms**2 = Integral((load_voltage(theta) - load_mean)**2, (theta, 0, 2*pi))/(2*pi)",
            "definition of the ripple's RMS",
        ),
        equal("ripple_rms = sqrt(load_rms**2 - load_mean**2)", "mixed products average to zero"),
    ),
    "exact-diode-peak": (
        _HUMP,
        _CHARGING,
        _NORMALISED,
        _THETA_1,
        given("diode_current_peak = current(theta_1)", "definition of the peak", "the current falls from its start on"),
        equal(
            f"diode_current_peak = load_peak/load_resistance*(normalised_time_constant*cos({_START_RAD})"
            f" + sin({_START_RAD}))",
            "put in",
        ),
    ),
    "exact-charging-rms": (
        _HUMP,
        _CHARGING,
        _NORMALISED,
        _THETA_1,
        _THETA_2,
        given(
            "mean_square = pulses/(2*pi)*Integral(current(theta)**2, (theta, theta_1, theta_2))",
            "definition of the mean square",
        ),
        given("charging_current_rms = sqrt(mean_square)", "definition of the RMS"),
        equal(
            "charging_current_rms = load_peak/load_resistance*sqrt(pulses/(2*pi)*("
            f"normalised_time_constant**2*({_HALF_SPAN} + {_DOUBLE}/4) + {_HALF_SPAN} - {_DOUBLE}/4"
            f" + normalised_time_constant*{_SIN_SQUARES}))",
            "integrated",
        ),
    ),
    "exact-capacitor-rms": (
        _HUMP,
        given(
            "charge_current(theta) = omega*capacitance*Derivative(load_voltage(theta), theta)", "law of the capacitor"
        ),
        given(
            "fall_current(theta) = load_peak*" + _DISCHARGED + "/load_resistance",
            "the discharge law, charge balance",
            "the capacitor feeds the load",
        ),
        _NORMALISED,
        given(
            "mean_square = pulses/(2*pi)*(Integral(charge_current(theta)**2, (theta, theta_1, theta_2))"
            f" + Integral(fall_current(theta)**2, (theta, theta_2, {_NEXT})))",
            "definition of the mean square",
        ),
        _MEET,
        given("capacitor_current_rms = sqrt(mean_square)", "definition of the RMS"),
        _THETA_1,
        _THETA_2,
        equal(
            "capacitor_current_rms = load_peak/load_resistance*sqrt(pulses/(2*pi)*(normalised_time_constant**2"
            f"*({_HALF_SPAN} + {_DOUBLE}/4) + normalised_time_constant/2*{_SIN_SQUARES}))",
            "integrated; the end of the fall is the start of the hump",
        ),
    ),
    "inrush-peak": (
        given("source_peak = path_resistance*current + capacitor_voltage", "Kirchhoff's voltage law, Ohm's law"),
        given("capacitor_voltage = 0", "state at the start", "the capacitor is empty"),
        given("inrush_peak = current", "definition of the peak", "the rush only falls from there"),
        equal("inrush_peak = source_peak/path_resistance", "solved"),
    ),
    "inrush-time-constant": (
        given(
            "path_resistance*capacitance*Derivative(current(t), t) = -current(t)",
            "Kirchhoff's voltage law, differentiated",
            "the source stands at its peak",
        ),
        given("current(0) = inrush_peak", "state at the start"),
        equal("current(t) = inrush_peak*exp(-t/(path_resistance*capacitance))", "the charging law"),
        given("current(time_constant) = inrush_peak*exp(-1)", "definition of the time constant"),
        equal("time_constant = path_resistance*capacitance", "the exponents are equal"),
    ),
    "inrush-energy": (
        given(
            "path_resistance*capacitance*Derivative(current(t), t) = -current(t)",
            "Kirchhoff's voltage law, differentiated",
            "the source stands at its peak",
        ),
        given("current(0) = source_peak/path_resistance", "Ohm's law", "the capacitor is empty"),
        equal("current(t) = source_peak/path_resistance*exp(-t/(path_resistance*capacitance))", "the charging law"),
        given("let_through = Integral(current(t)**2, (t, 0, oo))", "definition of the let-through"),
        equal("let_through = capacitance*source_peak**2/(2*path_resistance)", "integrated"),
    ),
}

NOTES: Mapping[str, str] = {
    "ripple-factor": "It is the definition of the ripple factor.",
    "ripple-ratio": "It is the definition that some courses use for the ripple factor.",
}
