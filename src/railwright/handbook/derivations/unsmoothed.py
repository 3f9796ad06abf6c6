"""Rectifiers without a filter: means, RMS, ratios, reverse voltages and what the winding carries."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import approximation, cited, equal, given
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_HUMP = given("load_voltage(theta) = load_peak*sin(theta)", "shape of a sine", "while the diodes conduct")
_MEAN_OF_HALF = given(
    "load_mean = Integral(load_voltage(theta), (theta, 0, pi))/(2*pi)",
    "definition of the mean",
    "the second half of the period adds nothing",
)
_MEAN_OF_FULL = given(
    "load_mean = Integral(load_voltage(theta), (theta, 0, pi))/pi",
    "definition of the mean",
    "both halves of the period are alike",
)
_RMS_OF_HALF = given("load_rms**2 = Integral(load_voltage(theta)**2, (theta, 0, pi))/(2*pi)", "definition of the RMS")
_RMS_OF_FULL = given("load_rms**2 = Integral(load_voltage(theta)**2, (theta, 0, pi))/pi", "definition of the RMS")
_AREA = equal("Integral(load_voltage(theta), (theta, 0, pi)) = 2*load_peak", "the area under one hump")

_LESS_DROPS = given(
    "load_voltage(theta) = source_peak*sin(theta) - drops",
    "Kirchhoff's voltage law",
    "source, diodes and load in one loop",
)
_DROPS = given("drops = diodes_in_path*diode_drop", "Kirchhoff's voltage law", "the diodes in the path add up")
_DEAD = given(
    "dead_angle = asin(drops/source_peak)",
    "switching condition of the diode",
    "conduction starts where the sine exceeds the drops",
)
_DEAD_QUANTITIES = "asin(diode_drop*diodes_in_path/source_peak)"


def _dead_mean(span: str, share: str) -> Lines:
    return (
        _DROPS,
        _LESS_DROPS,
        _DEAD,
        given(
            f"load_mean = Integral(load_voltage(theta), (theta, dead_angle, pi - dead_angle))/{span}",
            "definition of the mean",
        ),
        equal(f"load_mean = {share}*(source_peak*cos(dead_angle) - drops*(pi/2 - dead_angle))/pi", "integrated"),
        equal(
            f"load_mean = {share}*(source_peak*cos({_DEAD_QUANTITIES})"
            f" - diode_drop*diodes_in_path*(pi/2 - {_DEAD_QUANTITIES}))/pi",
            "in the formula's own quantities",
        ),
    )


def _dead_rms(span: str) -> Lines:
    angle = _DEAD_QUANTITIES
    body = "(source_peak**2*((pi - 2*{a})/2 + sin(2*{a})/2) - 4*source_peak*{d}*cos({a}) + {d}**2*(pi - 2*{a}))/" + span
    return (
        _DROPS,
        _LESS_DROPS,
        _DEAD,
        given(
            f"mean_square = Integral(load_voltage(theta)**2, (theta, dead_angle, pi - dead_angle))/{span}",
            "definition of the mean square",
        ),
        given("load_rms = sqrt(mean_square)", "definition of the RMS"),
        equal(f"mean_square = {body.format(a='dead_angle', d='drops')}", "integrated"),
        equal(f"load_rms = sqrt({body.format(a=angle, d='(diode_drop*diodes_in_path)')})", "the root, own quantities"),
    )


def _from_rms(wave: str, mean: str, result: str) -> Lines:
    return (
        given("source_peak = sqrt(2)*source_rms", "formula peak-of-sine", cites="peak-of-sine"),
        given("load_peak = source_peak - drops", "Kirchhoff's voltage law"),
        approximation(
            "load_peak = source_peak",
            "drops left out",
            "the drops are small beside the peak",
            small="drops/source_peak",
            through="drops",
            reach=0.1,
            error=0.112,
        ),
        cited(f"{wave}-mean", f"load_mean = {mean}"),
        equal(f"load_mean = {result}", "put together"),
    )


_PEAK_LESS_DROPS: Lines = (
    _DROPS,
    _LESS_DROPS,
    given("load_peak = load_voltage(pi/2)", "definition of the peak", "the sine is largest at a quarter period"),
    equal("load_peak = source_peak - diodes_in_path*diode_drop", "put in"),
)


def _form(wave: str, mean: str, rms: str, result: str) -> Lines:
    return (
        cited(f"{wave}-mean", f"load_mean = {mean}"),
        cited(f"{wave}-rms", f"load_rms = {rms}"),
        given("form_factor = load_rms/load_mean", "definition of the form factor"),
        equal(f"form_factor = {result}", "the peak drops out"),
    )


def _ripple_factor(wave: str, form: str, result: str) -> Lines:
    return (
        cited(f"{wave}-form-factor", f"form_factor = {form}"),
        cited("ripple-factor-from-form-factor", "ripple_factor = sqrt(form_factor**2 - 1)"),
        equal(f"ripple_factor = {result}", "put in"),
    )


def _dc_ratio(wave: str, mean: str, rms: str, result: str) -> Lines:
    return (
        cited(f"{wave}-mean", f"load_mean = {mean}"),
        cited(f"{wave}-rms", f"load_rms = {rms}"),
        given("power_dc = load_mean**2/load_resistance", "definition of the DC power, Ohm's law"),
        given("power_ac = load_rms**2/load_resistance", "heat in a resistor", "what the source delivers"),
        given("dc_ratio = power_dc/power_ac", "definition of the rectification efficiency"),
        equal(f"dc_ratio = {result}", "resistance and peak drop out"),
    )


_HARMONIC_WAVE = given(
    "load_voltage(theta) = load_mean + amplitude*cos(theta) + second_amplitude*cos(2*theta)",
    "Fourier's theorem",
    "a mean and harmonics; two of them stand for all",
)
_PARTS = (
    _HARMONIC_WAVE,
    given("load_rms**2 = Integral(load_voltage(theta)**2, (theta, 0, 2*pi))/(2*pi)", "definition of the RMS"),
    given(
        "ripple_rms**2 = Integral((load_voltage(theta) - load_mean)**2, (theta, 0, 2*pi))/(2*pi)",
        "definition of the ripple's RMS",
    ),
    equal("load_rms**2 = load_mean**2 + ripple_rms**2", "all mixed products average to zero"),
)

_PHASE = given("load_voltage(theta) = load_peak*cos(theta)", "shape of a sine", "counted from the peak of one phase")
_THREE = given(
    "load_mean = Integral(load_voltage(theta), (theta, -pi/3, pi/3))/(2*pi/3)",
    "definition of the mean",
    "each of three diodes carries the current for a third of the period about its own peak",
)
_SIX = given(
    "load_mean = Integral(load_voltage(theta), (theta, -pi/6, pi/6))/(pi/3)",
    "definition of the mean",
    "each of six pulses lasts a sixth of the period about its own peak",
)


def _rms_factor(half: str, result: str) -> Lines:
    return (
        _PHASE,
        given(
            f"load_rms**2 = Integral(load_voltage(theta)**2, (theta, -{half}, {half}))/(2*{half})",
            "definition of the RMS",
        ),
        given("rms_factor = load_rms/load_peak", "definition of the factor"),
        equal(f"rms_factor = {result}", "integrated; the peak drops out"),
    )


def _three_phase_ripple_factor(kind: str, mean: str, factor: str, result: str) -> Lines:
    return (
        cited(f"three-phase-{kind}-mean", f"load_mean = {mean}"),
        cited(f"three-phase-{kind}-rms-factor", f"rms_factor = {factor}"),
        given("form_factor = rms_factor*load_peak/load_mean", "definition of the form factor"),
        cited("ripple-factor-from-form-factor", "ripple_factor = sqrt(form_factor**2 - 1)"),
        equal(f"ripple_factor = {result}", "put in"),
    )


def _utilisation(load: str, winding: str, sections: str, result: str) -> Lines:
    return (
        given(f"load_mean = {load}", "mean of the rectified sine"),
        given("source_rms = load_peak/sqrt(2)", "RMS of a sine", "of the winding or half winding, drops left out"),
        given(f"winding_current_rms = {winding}/load_resistance", "RMS of the pulses, Ohm's law"),
        given(f"apparent_power = {sections}source_rms*winding_current_rms", "definition of the apparent power"),
        given("utilisation = load_mean**2/load_resistance/apparent_power", "definition of the utilisation"),
        equal(f"utilisation = {result}", "peak and resistance drop out"),
    )


def _winding(span: str, dc: str, middle: str, result: str) -> Lines:
    return (
        given("current(theta) = current_peak*sin(theta)", "Ohm's law", "the winding's current while it conducts"),
        given(f"load_current = {dc}", "definition of the mean", "of the load current"),
        given(f"winding_current_rms**2 = Integral(current(theta)**2, (theta, 0, pi))/{span}", "definition of the RMS"),
        equal(f"winding_current_rms = {middle}", "integrated"),
        equal(f"load_current = {result}", "the peak drops out"),
    )


_ONE_MEAN = "Integral(current(theta), (theta, 0, pi))/(2*pi)"
_BOTH_MEAN = "Integral(current(theta), (theta, 0, pi))/pi"


def _loop(reverse: str, middle: str, result: str, words: str) -> Lines:
    return (
        given("source_voltage(theta) = source_peak*sin(theta)", "shape of a sine"),
        given(f"blocked_voltage(theta) = {reverse}", "Kirchhoff's voltage law", words),
        given("reverse_voltage_peak = blocked_voltage(pi/2)", "definition of the peak", middle),
        equal(f"reverse_voltage_peak = {result}", "put in"),
    )


_OFF = "the largest value, at the peak of the sine"
_LEAVE_OUT = approximation(
    "reverse_voltage_peak = 2*source_peak",
    "drop left out",
    small="diode_drop/source_peak",
    through="diode_drop",
    reach=0.1,
    error=0.0527,
)
_TWO_LINES: Lines = (
    given("first(theta) = source_peak*sin(theta)", "shape of a sine", "one phase"),
    given("second(theta) = source_peak*sin(theta - 2*pi/3)", "symmetry of the three phases", "the next phase"),
    given("line_voltage(theta) = first(theta) - second(theta)", "Kirchhoff's voltage law", "between the two lines"),
    equal("line_voltage(theta) = sqrt(3)*source_peak*sin(theta + pi/6)", "difference of two sines"),
)

DERIVATIONS: Mapping[str, Lines] = {
    "load-peak-less-drops": _PEAK_LESS_DROPS,
    "source-peak-for-load-peak": (
        *_PEAK_LESS_DROPS,
        equal("source_peak = load_peak + diodes_in_path*diode_drop", "solved for the source"),
    ),
    "half-wave-mean": (_HUMP, _MEAN_OF_HALF, _AREA, equal("load_mean = load_peak/pi", "divided by the period")),
    "full-wave-mean": (_HUMP, _MEAN_OF_FULL, _AREA, equal("load_mean = 2*load_peak/pi", "divided by half the period")),
    "half-wave-mean-from-rms": _from_rms("half-wave", "load_peak/pi", "sqrt(2)/pi*source_rms"),
    "full-wave-mean-from-rms": _from_rms("full-wave", "2*load_peak/pi", "2*sqrt(2)/pi*source_rms"),
    "half-wave-mean-dead-time": _dead_mean("(2*pi)", "1"),
    "full-wave-mean-dead-time": _dead_mean("pi", "2"),
    "half-wave-rms": (
        _HUMP,
        _RMS_OF_HALF,
        equal("load_rms**2 = load_peak**2/4", "integrated"),
        equal("load_rms = load_peak/2", "the root"),
    ),
    "full-wave-rms": (
        _HUMP,
        _RMS_OF_FULL,
        equal("load_rms**2 = load_peak**2/2", "integrated"),
        equal("load_rms = load_peak/sqrt(2)", "the root"),
    ),
    "half-wave-rms-dead-time": _dead_rms("(2*pi)"),
    "full-wave-rms-dead-time": _dead_rms("pi"),
    "half-wave-form-factor": _form("half-wave", "load_peak/pi", "load_peak/2", "pi/2"),
    "full-wave-form-factor": _form("full-wave", "2*load_peak/pi", "load_peak/sqrt(2)", "pi/(2*sqrt(2))"),
    "half-wave-ripple-factor": _ripple_factor("half-wave", "pi/2", "sqrt(pi**2/4 - 1)"),
    "full-wave-ripple-factor": _ripple_factor("full-wave", "pi/(2*sqrt(2))", "sqrt(pi**2/8 - 1)"),
    "half-wave-dc-ratio": _dc_ratio("half-wave", "load_peak/pi", "load_peak/2", "4/pi**2"),
    "full-wave-dc-ratio": _dc_ratio("full-wave", "2*load_peak/pi", "load_peak/sqrt(2)", "8/pi**2"),
    "ripple-factor-from-form-factor": (
        *_PARTS,
        given("ripple_factor = ripple_rms/load_mean", "definition of the ripple factor"),
        given("form_factor = load_rms/load_mean", "definition of the form factor"),
        equal("ripple_factor = sqrt(form_factor**2 - 1)", "divided by the squared mean"),
    ),
    "ripple-rms-from-rms-and-mean": (
        *_PARTS,
        equal("ripple_rms = sqrt(load_rms**2 - load_mean**2)", "solved for the ripple"),
    ),
    "unfiltered-ripple": (
        _HUMP,
        given("ripple_peak_to_peak = load_voltage(pi/2) - load_voltage(0)", "definition of the ripple"),
        equal("ripple_peak_to_peak = load_peak", "the load voltage falls to zero"),
    ),
    "ripple-frequency": (
        given("period = 1/mains_frequency", "definition of the period"),
        given("ripple_period = period/pulses", "symmetry of equal pulses"),
        given("ripple_frequency = 1/ripple_period", "definition of the frequency"),
        equal("ripple_frequency = mains_frequency*pulses", "put in"),
    ),
    "load-current-of-mean": (
        given("load_voltage(theta) = load_resistance*current(theta)", "Ohm's law"),
        given("load_mean = Integral(load_voltage(theta), (theta, 0, 2*pi))/(2*pi)", "definition of the mean"),
        given("load_current_mean = Integral(current(theta), (theta, 0, 2*pi))/(2*pi)", "definition of the mean"),
        equal("load_current_mean = load_mean/load_resistance", "the resistance stands before the integral"),
    ),
    "load-power-dc": (
        given("load_current_mean = load_mean/load_resistance", "Ohm's law"),
        given("power = load_mean*load_current_mean", "definition of the DC power"),
        equal("power = load_mean**2/load_resistance", "put in"),
    ),
    "load-power-mean": (
        given("current(theta) = load_voltage(theta)/load_resistance", "Ohm's law"),
        given(
            "power = Integral(load_voltage(theta)*current(theta), (theta, 0, 2*pi))/(2*pi)", "definition of the power"
        ),
        given(
            "mean_square = Integral(load_voltage(theta)**2, (theta, 0, 2*pi))/(2*pi)", "definition of the mean square"
        ),
        given("load_rms = sqrt(mean_square)", "definition of the RMS"),
        equal("power = load_rms**2/load_resistance", "the resistance stands before the integral"),
    ),
    "input-power-from-dc-ratio": (
        given("power_dc = load_mean**2/load_resistance", "definition of the DC power, Ohm's law"),
        given("dc_ratio = power_dc/power", "definition of the rectification efficiency"),
        equal("power = power_dc/dc_ratio", "solved for the power that goes in"),
    ),
    "diode-mean-current": (
        given("load_charge = load_current_mean*period", "definition of the mean current"),
        given("diode_charge = diode_current_mean*period", "definition of the mean current"),
        given(
            "load_charge = diodes_taking_turns*diode_charge",
            "charge balance",
            "a capacitor gives back in a period what it took",
        ),
        equal("diode_current_mean = load_current_mean/diodes_taking_turns", "the period drops out"),
    ),
    "diode-angle-dead-time": (
        _DROPS,
        _DEAD,
        given("conduction_angle = 180/pi*(pi - 2*dead_angle)", "symmetry of the hump", "in degrees"),
        equal(f"conduction_angle = 180 - 360/pi*{_DEAD_QUANTITIES}", "put in"),
    ),
    "rectifier-angle-dead-time": (
        _DROPS,
        _DEAD,
        given("conduction_angle = pulses*180/pi*(pi - 2*dead_angle)", "symmetry of the humps", "in degrees"),
        equal(f"conduction_angle = pulses*(180 - 360/pi*{_DEAD_QUANTITIES})", "put in"),
    ),
    "three-phase-half-wave-mean": (
        _PHASE,
        _THREE,
        equal("load_mean = 3*sqrt(3)/(2*pi)*load_peak", "integrated"),
    ),
    "three-phase-bridge-mean": (_PHASE, _SIX, equal("load_mean = 3/pi*load_peak", "integrated")),
    "three-phase-half-wave-mean-from-rms": (
        cited("three-phase-half-wave-mean", "load_mean = 3*sqrt(3)/(2*pi)*load_peak"),
        given("load_peak = sqrt(2)*phase_rms", "peak of a sine", "drops left out"),
        equal("load_mean = 3*sqrt(6)/(2*pi)*phase_rms", "put in"),
    ),
    "three-phase-bridge-mean-from-rms": (
        cited("three-phase-bridge-mean", "load_mean = 3/pi*load_peak"),
        given("source_peak = sqrt(2)*phase_rms", "peak of a sine"),
        given("load_peak = sqrt(3)*source_peak", "formula line-peak", cites="line-peak"),
        equal("load_mean = 3*sqrt(6)/pi*phase_rms", "put in"),
    ),
    "three-phase-bridge-mean-from-line-rms": (
        cited("three-phase-bridge-mean", "load_mean = 3/pi*load_peak"),
        given("load_peak = sqrt(2)*line_rms", "peak of a sine", "drops left out"),
        equal("load_mean = 3*sqrt(2)/pi*line_rms", "put in"),
    ),
    "line-peak": (
        *_TWO_LINES,
        given("line_peak = line_voltage(pi/3)", "definition of the peak", "where the sine of the sum is one"),
        equal("line_peak = sqrt(3)*source_peak", "put in"),
    ),
    "half-wave-utilisation": _utilisation("load_peak/pi", "load_peak/2", "", "2*sqrt(2)/pi**2"),
    "bridge-utilisation": _utilisation("2*load_peak/pi", "load_peak/sqrt(2)", "", "8/pi**2"),
    "centre-tap-utilisation": _utilisation("2*load_peak/pi", "load_peak/2", "2*", "4*sqrt(2)/pi**2"),
    "centre-tap-utilisation-average": (
        cited("bridge-utilisation", "primary_utilisation = 8/pi**2", "the primary carries a full sine, as in a bridge"),
        cited("centre-tap-utilisation", "secondary_utilisation = 4*sqrt(2)/pi**2"),
        given("utilisation = (primary_utilisation + secondary_utilisation)/2", "definition of the source"),
        equal("utilisation = (8 + 4*sqrt(2))/(2*pi**2)", "put in"),
    ),
    "centre-tap-utilisation-of-mean": (
        cited("bridge-utilisation", "primary_utilisation = 8/pi**2", "the primary carries a full sine, as in a bridge"),
        cited("centre-tap-utilisation", "secondary_utilisation = 4*sqrt(2)/pi**2"),
        given("primary_power = power_dc/primary_utilisation", "definition of the utilisation"),
        given("secondary_power = power_dc/secondary_utilisation", "definition of the utilisation"),
        given("utilisation = power_dc/((primary_power + secondary_power)/2)", "definition of this utilisation"),
        equal("utilisation = 16/(pi**2*(1 + sqrt(2)))", "put in"),
    ),
    "half-wave-load-current": _winding("(2*pi)", _ONE_MEAN, "current_peak/2", "2/pi*winding_current_rms"),
    "bridge-load-current": _winding("pi", _BOTH_MEAN, "current_peak/sqrt(2)", "2*sqrt(2)/pi*winding_current_rms"),
    "centre-tap-load-current": _winding("(2*pi)", _BOTH_MEAN, "current_peak/2", "4/pi*winding_current_rms"),
    "centre-tap-choke-load-current": (
        given("current(theta) = load_current", "smooth current", "one half winding carries it for half the period"),
        given("winding_current_rms**2 = Integral(current(theta)**2, (theta, 0, pi))/(2*pi)", "definition of the RMS"),
        equal("winding_current_rms**2 = load_current**2/2", "integrated"),
        equal("load_current = sqrt(2)*winding_current_rms", "solved"),
    ),
    "three-phase-half-wave-rms-factor": _rms_factor("pi/3", "sqrt(1/2 + 3*sqrt(3)/(8*pi))"),
    "three-phase-bridge-rms-factor": _rms_factor("pi/6", "sqrt(1/2 + 3*sqrt(3)/(4*pi))"),
    "three-phase-half-wave-ripple-factor": _three_phase_ripple_factor(
        "half-wave",
        "3*sqrt(3)/(2*pi)*load_peak",
        "sqrt(1/2 + 3*sqrt(3)/(8*pi))",
        "sqrt((1/2 + 3*sqrt(3)/(8*pi))*4*pi**2/27 - 1)",
    ),
    "three-phase-bridge-ripple-factor": _three_phase_ripple_factor(
        "bridge",
        "3/pi*load_peak",
        "sqrt(1/2 + 3*sqrt(3)/(4*pi))",
        "sqrt((1/2 + 3*sqrt(3)/(4*pi))*pi**2/9 - 1)",
    ),
    "three-phase-half-wave-ripple": (
        _PHASE,
        given(
            "ripple_peak_to_peak = load_voltage(0) - load_voltage(pi/3)",
            "definition of the ripple",
            "the next phase takes over 60 degrees after the peak",
        ),
        equal("ripple_peak_to_peak = load_peak/2", "put in"),
    ),
    "three-phase-bridge-ripple": (
        _PHASE,
        given(
            "ripple_peak_to_peak = load_voltage(0) - load_voltage(pi/6)",
            "definition of the ripple",
            "the next pulse takes over 30 degrees after the peak",
        ),
        equal("ripple_peak_to_peak = (1 - sqrt(3)/2)*load_peak", "put in"),
    ),
    "half-wave-reverse-voltage": _loop(
        "source_voltage(theta)",
        _OFF,
        "source_peak",
        "no current, so the load drops nothing; angle from the negative half",
    ),
    "half-wave-reservoir-reverse-voltage": _loop(
        "source_voltage(theta) + load_peak",
        _OFF,
        "source_peak + load_peak",
        "the capacitor still holds its peak while the source has turned round",
    ),
    "half-wave-reverse-voltage-rule": (
        given("load_peak = source_peak - diode_drop", "Kirchhoff's voltage law"),
        cited("half-wave-reservoir-reverse-voltage", "reverse_voltage_peak = source_peak + load_peak"),
        _LEAVE_OUT,
    ),
    "centre-tap-reverse-voltage": _loop(
        "2*source_voltage(theta) - diode_drop",
        _OFF,
        "2*source_peak - diode_drop",
        "both half windings and the conducting diode in one loop",
    ),
    "centre-tap-reverse-voltage-rule": (
        given("source_voltage(theta) = source_peak*sin(theta)", "shape of a sine"),
        cited("centre-tap-reverse-voltage", "reverse_voltage_peak = 2*source_peak - diode_drop"),
        _LEAVE_OUT,
    ),
    "bridge-reverse-voltage": _loop(
        "source_voltage(theta) - diode_drop",
        _OFF,
        "source_peak - diode_drop",
        "winding, blocked diode and one conducting diode in one loop",
    ),
    "doubler-reverse-voltage": _loop(
        "source_voltage(theta) + (source_peak - diode_drop)",
        _OFF,
        "2*source_peak - diode_drop",
        "the source on top of a capacitor charged to its peak less one drop",
    ),
    "three-phase-half-wave-reverse-voltage": (
        *_TWO_LINES,
        given(
            "blocked_voltage(theta) = line_voltage(theta) - diode_drop",
            "Kirchhoff's voltage law",
            "two phases and the conducting diode in one loop",
        ),
        given("reverse_voltage_peak = blocked_voltage(pi/3)", "definition of the peak"),
        equal("reverse_voltage_peak = sqrt(3)*source_peak - diode_drop", "put in"),
    ),
    "three-phase-bridge-reverse-voltage": (
        *_TWO_LINES,
        given(
            "blocked_voltage(theta) = line_voltage(theta) - diode_drop",
            "Kirchhoff's voltage law",
            "two phases and the conducting diode of the same side in one loop",
        ),
        given("reverse_voltage_peak = blocked_voltage(pi/3)", "definition of the peak"),
        equal("reverse_voltage_peak = sqrt(3)*source_peak - diode_drop", "put in"),
    ),
}

NOTES: Mapping[str, str] = {
    "form-factor": "It is the definition of the form factor.",
    "load-current-of-peak": "It is Ohm's law at one moment.",
    "centre-tap-choke-load-current-as-printed": "It is a maker's figure that no current can meet.",
}
