"""Harmonics and power factor."""

from __future__ import annotations

from collections.abc import Mapping

from railwright.handbook.derivation import cited, equal, given
from railwright.handbook.formula import DerivationLine

Lines = tuple[DerivationLine, ...]

_SQUARE_RMS = given(
    "current_rms = load_current_mean", "definition of the RMS", "the current has one size and two signs"
)
_SQUARE_FUNDAMENTAL = given(
    "fundamental_rms = 2*Integral(load_current_mean*sin(theta), (theta, 0, pi))/pi/sqrt(2)", "Fourier's theorem"
)
_BLOCK_RMS = given(
    "current_rms**2 = Integral(load_current_mean**2, (theta, -pi/3, pi/3))/pi",
    "definition of the RMS",
    "blocks of a third of the period, of alternate sign",
)
_BLOCK_ROOT = equal("current_rms = sqrt(2/3)*load_current_mean", "integrated")
_BLOCK_FUNDAMENTAL = given(
    "fundamental_rms = 2*Integral(load_current_mean*cos(theta), (theta, -pi/3, pi/3))/pi/sqrt(2)", "Fourier's theorem"
)
_DISTORTION = cited("distortion-of-rms", "distortion = sqrt(current_rms**2 - fundamental_rms**2)/fundamental_rms")
_FACTOR = given("distortion_factor = fundamental_rms/current_rms", "definition of the distortion factor")
_PYTHAGORAS = given(
    "current_rms**2 = fundamental_rms**2 + harmonics_rms**2", "Parseval's theorem", "mixed products average to zero"
)
_THD = given("distortion = harmonics_rms/fundamental_rms", "definition of the distortion")

DERIVATIONS: Mapping[str, Lines] = {
    "ripple-harmonic-ratio": (
        given(
            "load_voltage(theta) = load_peak*cos(theta)",
            "shape of a sine",
            "one pulse about its peak; the lowest harmonic has as many periods as there are pulses",
        ),
        given(
            "load_mean = order/(2*pi)*Integral(load_voltage(theta), (theta, -pi/order, pi/order))",
            "definition of the mean",
        ),
        given(
            "amplitude = order/pi*Integral(load_voltage(theta)*cos(order*theta), (theta, -pi/order, pi/order))",
            "Fourier's theorem",
        ),
        given("harmonic_ratio = amplitude/sqrt(2)/load_mean", "definition of the ratio"),
        equal("harmonic_ratio = sqrt(2)/(order**2 - 1)", "integrated; the peak drops out"),
    ),
    "second-harmonic-peak": (
        given("load_voltage(theta) = source_peak*sin(theta)", "shape of a sine", "one hump"),
        given(
            "second_harmonic = -2*Integral(load_voltage(theta)*cos(2*theta), (theta, 0, pi))/pi",
            "Fourier's theorem",
            "its sign is turned: it is a peak",
        ),
        equal("second_harmonic = 4*source_peak/(3*pi)", "integrated"),
    ),
    "distortion-of-rms": (
        _PYTHAGORAS,
        _THD,
        equal("harmonics_rms = sqrt(current_rms**2 - fundamental_rms**2)", "solved"),
        equal("distortion = sqrt(current_rms**2 - fundamental_rms**2)/fundamental_rms", "put in"),
    ),
    "distortion-factor-of-distortion": (
        _PYTHAGORAS,
        _THD,
        _FACTOR,
        equal("current_rms**2 = fundamental_rms**2*(1 + distortion**2)", "the fundamental taken out"),
        equal("distortion_factor = 1/sqrt(1 + distortion**2)", "the fundamental drops out"),
    ),
    "power-factor": (
        given(
            "real_power = source_rms*fundamental_rms*cos(pi*displacement_angle/180)",
            "definition of the power",
            "a sine of voltage makes power with the fundamental alone",
        ),
        given("apparent_power = source_rms*current_rms", "definition of the apparent power"),
        _FACTOR,
        given("power_factor = real_power/apparent_power", "definition of the power factor"),
        equal("power_factor = cos(pi*displacement_angle/180)*distortion_factor", "the voltage drops out"),
    ),
    "square-current-distortion": (
        _SQUARE_RMS,
        _SQUARE_FUNDAMENTAL,
        _DISTORTION,
        equal("distortion = sqrt(pi**2/8 - 1)", "the current drops out"),
    ),
    "square-current-distortion-factor": (
        _SQUARE_RMS,
        _SQUARE_FUNDAMENTAL,
        _FACTOR,
        equal("distortion_factor = 2*sqrt(2)/pi", "the current drops out"),
    ),
    "six-pulse-line-current-rms": (
        given("current(theta) = load_current", "smooth current", "while two diodes of this line conduct in turn"),
        given(
            "current_rms**2 = Integral(current(theta)**2, (theta, -pi/3, pi/3))/pi",
            "definition of the RMS",
            "blocks of a third of the period, of alternate sign",
        ),
        equal("current_rms**2 = 2*load_current**2/3", "integrated"),
        equal("current_rms = sqrt(2/3)*load_current", "the root"),
    ),
    "six-pulse-fundamental": (
        given("current(theta) = load_current", "smooth current", "a block of a third of the period"),
        given("amplitude = 2*Integral(current(theta)*cos(theta), (theta, -pi/3, pi/3))/pi", "Fourier's theorem"),
        given("fundamental_rms = amplitude/sqrt(2)", "RMS of a sine"),
        equal("fundamental_rms = sqrt(6)/pi*load_current", "integrated"),
    ),
    "six-pulse-distortion": (
        _BLOCK_RMS,
        _BLOCK_ROOT,
        _BLOCK_FUNDAMENTAL,
        _DISTORTION,
        equal("distortion = sqrt(pi**2/9 - 1)", "the current drops out"),
    ),
    "six-pulse-distortion-factor": (
        _BLOCK_RMS,
        _BLOCK_ROOT,
        _BLOCK_FUNDAMENTAL,
        _FACTOR,
        equal("distortion_factor = 3/pi", "the current drops out"),
    ),
}

NOTES: Mapping[str, str] = {
    "line-harmonic-order-lower": "It is a law of symmetry: equal pulses leave no other orders.",
    "line-harmonic-order-upper": "It is a law of symmetry: equal pulses leave no other orders.",
    "ripple-harmonic-order": "It is a law of symmetry: equal pulses repeat that many times a period.",
    "apparent-power": "It is the definition of the apparent power.",
}
