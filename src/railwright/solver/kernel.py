"""Which form of the kernel runs: interpreted, or compiled where that pays.

Interpreted is right for a single answer: nothing has to be loaded. A long session (the local app, builds, the long
tests) asks for the compiled form once; without the compiler everything works as before, only slower.
"""

from __future__ import annotations

import importlib.util
import sys
from types import ModuleType
from typing import Final

from railwright.solver import advance as interpreted
from railwright.solver.elimination import Array

_present: dict[str, ModuleType] = {}
_NAME: Final = "railwright.solver.advance_compiled"


def kernel() -> ModuleType:
    """The module whose `advance` is in use."""
    return _present.get("kernel", interpreted)


def _as_it_is(values: Array) -> Array:
    """An array that compiled loops read as fast as anything."""
    return values


def use_compiled() -> bool:
    """Use the compiled form from now on, in this process; whether there is one (the extra `fast`)."""
    try:
        from numba import njit
    except ModuleNotFoundError:
        return False
    if _NAME not in _present:
        spec = importlib.util.spec_from_file_location(_NAME, interpreted.__file__)
        assert spec is not None and spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        module.__dict__["compiled"] = njit(cache=True)
        module.__dict__["plain"] = module.__dict__["compiled"](_as_it_is)
        sys.modules[_NAME] = module  # what is kept compiled on disk is found again by this name
        spec.loader.exec_module(module)
        _present[_NAME] = module
    _present["kernel"] = _present[_NAME]
    return True


def use_interpreted() -> None:
    """Use the interpreted form from now on, in this process."""
    _present.pop("kernel", None)
