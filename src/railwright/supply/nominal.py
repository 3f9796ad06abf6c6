"""Estimates a supply's nominal output, where a power load needs a floor and the sheet states none.

It only fixes the voltage below which a constant-power load becomes a resistor; nothing is solved with it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from railwright.supply.model import PEAK_OVER_RMS, FilterSection, Mains, Rectifier, Regulator, Transformer

#: Mean over peak of a rectified waveform without a capacitor (definitions; full-wave, single phase).
_MEAN_OVER_PEAK: Final[Mapping[str, float]] = {"sine": 2.0 / math.pi, "square": 1.0, "triangle": 0.5, "dc": 1.0}
#: The same for three phases with a sine: 3 sqrt(3)/(2 pi) and 3/pi.
_THREE_PHASE_MEAN: Final[Mapping[str, float]] = {
    "three-phase-half-wave": 3.0 * math.sqrt(3.0) / (2.0 * math.pi),
    "three-phase-bridge": 3.0 / math.pi,
}
HALF_WAVE: Final = ("half-wave", "dual-half-wave")


def nominal_output(
    mains: Mains,
    transformer: Transformer | None,
    rectifier: Rectifier,
    filters: tuple[FilterSection, ...],
    regulator: Regulator | None,
) -> float:
    """Output of one rail by rule of thumb: the regulator's, else peak (behind a choke: mean) less drops. [V]"""
    if regulator is not None:
        stated = regulator.zener_voltage if regulator.kind == "zener" else regulator.output
        if stated is not None:
            return stated
    peak = _rectified_peak(mains, transformer, rectifier)
    first = next((part.kind for part in filters if part.fitted and part.kind in ("capacitor", "choke")), None)
    if first == "capacitor" or rectifier.circuit in ("full-wave-doubler", "half-wave-doubler", "multiplier", "none"):
        return peak
    if mains.phases == 3:
        return peak * _THREE_PHASE_MEAN.get(rectifier.circuit, 1.0)
    share = _MEAN_OVER_PEAK[mains.waveform]
    return peak * (share / 2.0 if rectifier.circuit in HALF_WAVE and mains.waveform != "dc" else share)


def section_voltage(mains: Mains, transformer: Transformer | None) -> float:
    """RMS of one section by its label (three phases: of one winding), or of the source if there is none. [V]"""
    source = mains.voltage_rms
    if transformer is None:
        return source / math.sqrt(3.0) if mains.phases == 3 else source
    if transformer.secondary_voltage is not None:
        return transformer.secondary_voltage
    if transformer.open_voltage is not None:
        return transformer.open_voltage
    if mains.phases == 3 and transformer.connection.startswith("star"):
        source /= math.sqrt(3.0)
    return source / (transformer.turns_ratio or 1.0)


def _rectified_peak(mains: Mains, transformer: Transformer | None, rectifier: Rectifier) -> float:
    one = section_voltage(mains, transformer) * PEAK_OVER_RMS[mains.waveform]
    tapped = transformer is not None and transformer.secondary == "centre-tapped"
    in_series = tapped or (transformer is not None and transformer.secondary == "series")
    whole = 2.0 * one if in_series else one
    used = one if tapped and rectifier.tap == "common" else whole
    drop = rectifier.diode.drop
    match rectifier.circuit:
        case "centre-tap" | "dual-rail":
            peak = one - drop
        case "bridge":
            peak = one - drop if tapped and rectifier.tap == "negative" else whole - 2.0 * drop
        case "full-wave-doubler" | "half-wave-doubler":
            peak = 2.0 * (used - drop)
        case "multiplier":
            peak = 2.0 * rectifier.stages * (used - drop)
        case "three-phase-half-wave":
            peak = one - drop
        case "three-phase-bridge":
            delta = transformer is not None and transformer.connection.endswith("delta")
            peak = (one if delta else math.sqrt(3.0) * one) - 2.0 * drop
        case "none":
            peak = used
        case _:
            peak = used - drop
    return max(peak, 0.0)
