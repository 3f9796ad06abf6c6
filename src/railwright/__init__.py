"""Railwright: from the wall outlet to a clean DC rail.

A sheet describes a mains power supply; from it come exact waveforms and readings, the working by hand, and pictures.
The names below are loaded when they are first used, so that `import railwright` costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from railwright.study import Study, Waveform, read_sheet, read_text, solve
    from railwright.supply import SheetError, SheetFault, Supply

__version__ = "0.1.0"

#: Each public name and the module that makes it.
_WHERE = {
    "SheetError": "railwright.supply",
    "SheetFault": "railwright.supply",
    "Study": "railwright.study",
    "Supply": "railwright.supply",
    "Waveform": "railwright.study",
    "read_sheet": "railwright.study",
    "read_text": "railwright.study",
    "solve": "railwright.study",
}

__all__ = [
    "SheetError",
    "SheetFault",
    "Study",
    "Supply",
    "Waveform",
    "__version__",
    "read_sheet",
    "read_text",
    "solve",
]


def __getattr__(name: str) -> Any:
    if name in _WHERE:
        value = globals()[name] = getattr(import_module(_WHERE[name]), name)
        return value
    raise AttributeError(f"module 'railwright' has no name {name!r}; it has {', '.join(__all__)}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
