"""The formulas between which a course chooses: those that answer one and the same question.

The ids are the handbook's, as data: this floor knows no formulas.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

#: Ripple on a reservoir, peak to peak.
RIPPLE_FORMULAS: Final[tuple[str, ...]] = ("ripple-straight-line", "ripple-trade", "ripple-exponential")

#: Other questions that have more than one answer by hand.
TAUGHT_FORMULAS: Final[tuple[str, ...]] = (
    "load-mean-less-half-ripple", "load-mean-of-time-constant",
    "half-wave-mean", "half-wave-mean-from-rms", "half-wave-mean-dead-time",
    "full-wave-mean", "full-wave-mean-from-rms", "full-wave-mean-dead-time",
    "half-wave-rms", "half-wave-rms-dead-time", "full-wave-rms", "full-wave-rms-dead-time",
    "ripple-factor", "ripple-factor-sawtooth",
    "half-wave-reservoir-reverse-voltage", "half-wave-reverse-voltage-rule",
    "centre-tap-reverse-voltage", "centre-tap-reverse-voltage-rule",
)  # fmt: skip

#: Factors that a course may round in its own way: what each is exactly, to tell a rounding from a slip.
FACTORS: Final[Mapping[str, float]] = MappingProxyType(
    {
        "peak_over_rms": 1.4142135623730951,  # the root of 2
        "half_wave_mean": 0.3183098861837907,  # 1 over pi
        "full_wave_mean": 0.6366197723675814,  # 2 over pi
        "rms_of_half_wave": 0.5,
        "rms_of_full_wave": 0.7071067811865476,  # 1 over the root of 2
    }
)
#: How far a course's factor may lie from the exact one. [-] 0.3 for 1/pi is 6 % off and no rounding any more.
FARTHEST = 0.02
