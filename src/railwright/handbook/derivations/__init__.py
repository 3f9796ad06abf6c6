"""Where each formula comes from: its derivation line by line, or the reason why it has none; one module a topic."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from railwright.handbook.derivations import (
    charging,
    filtering,
    harmonic,
    heat,
    input_side,
    limits,
    regulating,
    smoothing,
    stacking,
    unsmoothed,
)
from railwright.handbook.formula import DerivationLine

_MODULES = (
    input_side,
    unsmoothed,
    smoothing,
    charging,
    filtering,
    stacking,
    regulating,
    heat,
    harmonic,
    limits,
)

DERIVATIONS: Mapping[str, tuple[DerivationLine, ...]] = MappingProxyType(
    {formula: lines for module in _MODULES for formula, lines in module.DERIVATIONS.items()}
)
NOTES: Mapping[str, str] = MappingProxyType(
    {formula: note for module in _MODULES for formula, note in module.NOTES.items()}
)
