"""Whether a supply holds more voltage between two terminals than a class may touch."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from railwright.readings import split
from railwright.supply.model import Supply
from railwright.supply.nominal import section_voltage

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["TOUCHED_DC", "TOUCHED_RMS", "is_beyond_touch"]

#: Largest voltage of a winding and of a DC output that a class touches (the harbour's rule, a choice of ours). [V]
TOUCHED_RMS, TOUCHED_DC = 25.0, 60.0


def is_beyond_touch(study: Study) -> bool:
    """Whether a winding without load, or an output of this supply, lies above what a class touches."""
    if _winding_unloaded(study.supply) > TOUCHED_RMS:
        return True
    for name in study.readings:
        place, kind, measure = split(name)
        if kind == "voltage" and measure == "peak" and (place.startswith("load") or place[0] == "C"):
            if abs(study.readings[name].value or 0.0) > TOUCHED_DC:
                return True
    return False


def _winding_unloaded(supply: Supply) -> float:
    """RMS between the ends of the whole winding, or of the source where there is no transformer. [V]"""
    transformer = supply.transformer
    one = section_voltage(supply.mains, transformer)
    if transformer is None:
        return one
    if transformer.open_voltage is not None:
        one = transformer.open_voltage
    elif transformer.secondary_voltage is not None:
        one *= 1.0 + (transformer.regulation or 0.0)
    if supply.mains.phases == 3:
        return one * math.sqrt(3.0)
    return one * (2.0 if transformer.secondary in ("centre-tapped", "series") else 1.0)
