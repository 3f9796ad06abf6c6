"""Letters and meanings of the quantities that only derivations use."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

AUXILIARY: Mapping[str, tuple[str, str]] = MappingProxyType({})
