"""How far a formula is off, over the one number on which that depends: by hand against the exact formulas.

For a reservoir that number is omega R C, and the exact answer is that of `exact_reservoir`. For a rectifier without a
filter it is the share of the drops in the source's peak.
Nothing here is solved with the circuit solver: both sides are formulas of the handbook.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

from railwright.handbook import exact_reservoir, peak_rectifier, reservoir, unfiltered
from railwright.handbook.formula import Axis

#: A case to which the rest can be scaled: only ratios count. [V] [ohm] [Hz]
_PEAK, _RESISTANCE, _FREQUENCY = 1.0, 1.0, 1.0
_FULL, _HALF = 2.0, 1.0

_RC = "normalised_time_constant"


def _reservoir_axis(reference: str) -> Axis:
    return Axis(
        name=_RC,
        symbol=r"\omega R C",
        meaning="time constant of load and reservoir in radians of the mains",
        low=3.0,
        high=1000.0,
        reference=reference,
    )


def _drop_axis(reference: str) -> Axis:
    return Axis(
        name="drop_share",
        symbol=r"kV_D/V_m",
        meaning="drops of the diodes in the path over the source's peak",
        low=0.0,
        high=0.5,
        logarithmic=False,
        reference=reference,
    )


#: The formulas that have a chart of their error.
AXES: Mapping[str, Axis] = MappingProxyType(
    {
        "ripple-straight-line": _reservoir_axis("exact-ripple"),
        "ripple-trade": _reservoir_axis("exact-ripple"),
        "ripple-exponential": _reservoir_axis("exact-ripple"),
        "bound-ripple": _reservoir_axis("exact-ripple"),
        "load-mean-less-half-ripple": _reservoir_axis("exact-mean"),
        "load-mean-of-time-constant": _reservoir_axis("exact-mean"),
        "load-valley-less-ripple": _reservoir_axis("exact-ripple"),
        "ripple-rms-sawtooth": _reservoir_axis("exact-ripple-rms"),
        "ripple-factor-sawtooth": _reservoir_axis("exact-ripple-rms"),
        "conduction-angle-small-ripple": _reservoir_axis("exact-conduction-angle"),
        "half-wave-diode-peak": _reservoir_axis("exact-diode-peak"),
        "full-wave-diode-peak": _reservoir_axis("exact-diode-peak"),
        "half-wave-mean": _drop_axis("half-wave-mean-dead-time"),
        "full-wave-mean": _drop_axis("full-wave-mean-dead-time"),
        "half-wave-rms": _drop_axis("half-wave-rms-dead-time"),
        "full-wave-rms": _drop_axis("full-wave-rms-dead-time"),
    }
)


def error_curve(
    formula_id: str, points: int = 61, *, pulses: float | None = None
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Relative error of a formula over the number on which its goodness depends.

    Parameters
    ----------
    formula_id : str
        A formula with an `axis`.
    points : int
        Number of points, two or more, spaced as the axis says.
    pulses : float, optional
        Charging pulses per mains period, 1 or 2; 2 unless the formula is a half-wave one. [1]

    Returns
    -------
    tuple of two tuples of float
        The abscissae, and (by hand - exact)/exact at each. [1]

    Raises
    ------
    ValueError
        If the formula has no such chart, or points or pulses are out of range.
    """
    if formula_id not in AXES:
        raise ValueError(f"{formula_id} has no chart of its error. These have one: {', '.join(AXES)}.")
    if points < 2:
        raise ValueError(f"{points} points make no curve. Ask for 2 or more.")
    used = pulses if pulses is not None else _HALF if formula_id.startswith("half-wave") else _FULL
    if used not in (_HALF, _FULL):
        raise ValueError(f"{used:g} pulses a period: the exact reservoir is known for 1 and 2.")
    axis = AXES[formula_id]
    abscissae = tuple(_place(axis, number / (points - 1)) for number in range(points))
    return abscissae, tuple(_error(formula_id, at, used) for at in abscissae)


def _place(axis: Axis, share: float) -> float:
    if axis.logarithmic:
        return float(axis.low * (axis.high / axis.low) ** share)
    return axis.low + (axis.high - axis.low) * share


def _error(formula_id: str, at: float, pulses: float) -> float:
    by_hand, exact = _DROPS[formula_id](at) if formula_id in _DROPS else _reservoir(formula_id, at, pulses)
    return (by_hand - exact) / exact


def _reservoir(formula_id: str, normalised: float, pulses: float) -> tuple[float, float]:
    """By hand and exact at one omega R C."""
    capacitance = normalised / (2.0 * math.pi * _FREQUENCY * _RESISTANCE)
    recharge = pulses * _FREQUENCY
    start = exact_reservoir.start_of_conduction(normalised_time_constant=normalised, pulses=pulses)
    end = exact_reservoir.end_of_conduction(normalised_time_constant=normalised)
    ripple = exact_reservoir.exact_ripple(load_peak=_PEAK, start_angle=start)
    whole = {
        "load_peak": _PEAK, "start_angle": start, "end_angle": end, "normalised_time_constant": normalised,
        "pulses": pulses,
    }  # fmt: skip
    mean = exact_reservoir.exact_mean(**whole)
    ripple_rms = exact_reservoir.exact_ripple_rms(load_rms=exact_reservoir.exact_mean_square(**whole), load_mean=mean)
    line = reservoir.ripple_straight_line(
        load_current=_PEAK / _RESISTANCE, recharge_frequency=recharge, capacitance=capacitance
    )
    discharge = {
        "load_peak": _PEAK, "load_resistance": _RESISTANCE, "capacitance": capacitance, "discharge_time": 1.0 / recharge
    }  # fmt: skip
    constant = {"load_resistance": _RESISTANCE, "capacitance": capacitance, "recharge_frequency": recharge}
    if formula_id in ("ripple-straight-line", "bound-ripple"):
        return line, ripple
    if formula_id == "ripple-trade":
        return reservoir.ripple_trade(**discharge), ripple
    if formula_id == "ripple-exponential":
        return reservoir.ripple_exponential(**discharge), ripple
    if formula_id == "load-mean-less-half-ripple":
        return reservoir.load_mean_less_half_ripple(load_peak=_PEAK, ripple_peak_to_peak=line), mean
    if formula_id == "load-mean-of-time-constant":
        return reservoir.load_mean_of_time_constant(load_peak=_PEAK, **constant), mean
    if formula_id == "load-valley-less-ripple":
        return reservoir.load_valley_less_ripple(load_peak=_PEAK, ripple_peak_to_peak=line), _PEAK - ripple
    if formula_id == "ripple-rms-sawtooth":
        return reservoir.ripple_rms_sawtooth(ripple_peak_to_peak=line), ripple_rms
    if formula_id == "ripple-factor-sawtooth":
        return reservoir.ripple_factor_sawtooth(**constant), ripple_rms / mean
    pulse = {"load_peak": _PEAK, "ripple_peak_to_peak": line}
    if formula_id == "conduction-angle-small-ripple":
        return peak_rectifier.conduction_angle_small_ripple(**pulse), end - start
    law = peak_rectifier.half_wave_diode_peak if pulses == _HALF else peak_rectifier.full_wave_diode_peak
    # As the books do: the load current at the peak.
    return law(load_current=_PEAK / _RESISTANCE, **pulse), exact_reservoir.exact_diode_peak(
        load_peak=_PEAK, load_resistance=_RESISTANCE, start_angle=start, normalised_time_constant=normalised
    )


def _less(share: float) -> float:
    return unfiltered.load_peak_less_drops(source_peak=_PEAK, diode_drop=share, diodes_in_path=1.0)


def _dead(law: Callable[..., float], share: float) -> float:
    return law(source_peak=_PEAK, diode_drop=share, diodes_in_path=1.0)


_DROPS: Mapping[str, Callable[[float], tuple[float, float]]] = MappingProxyType(
    {
        "half-wave-mean": lambda share: (
            unfiltered.half_wave_mean(load_peak=_less(share)),
            _dead(unfiltered.half_wave_mean_dead_time, share),
        ),
        "full-wave-mean": lambda share: (
            unfiltered.full_wave_mean(load_peak=_less(share)),
            _dead(unfiltered.full_wave_mean_dead_time, share),
        ),
        "half-wave-rms": lambda share: (
            unfiltered.half_wave_rms(load_peak=_less(share)),
            _dead(unfiltered.half_wave_rms_dead_time, share),
        ),
        "full-wave-rms": lambda share: (
            unfiltered.full_wave_rms(load_peak=_less(share)),
            _dead(unfiltered.full_wave_rms_dead_time, share),
        ),
    }
)
