"""The laws of meters and scopes: what each shows of a waveform."""

from __future__ import annotations

import math

from railwright.instruments.observation import Wave
from railwright.solver.solution import Solution

#: An average-responding meter is scaled to read a sine's RMS: form factor of a full-wave rectified sine.
SINE_FORM_FACTOR = math.pi / (2.0 * math.sqrt(2.0))


def indicated(instrument: str, wave: Wave, solution: Solution) -> float:
    """What an instrument shows.

    Parameters
    ----------
    instrument : str
        `meter-dc`: the mean. `meter-ac-average`: 1.1107 times the mean of abs(v - mean). `meter-ac-rms`: the RMS
        without the mean. `meter-ac-dc-rms`: the RMS. `scope-dc`: the value farthest from 0. `scope-ac`: peak to peak.
    """
    if instrument == "meter-dc":
        return wave.mean
    if instrument == "meter-ac-average":
        return SINE_FORM_FACTOR * solution.absolute_mean(wave.row, wave.mean)
    if instrument == "meter-ac-rms":
        return wave.ripple_rms
    if instrument == "meter-ac-dc-rms":
        return wave.rms
    if instrument == "scope-dc":
        return wave.peak
    return wave.maximum - wave.minimum
