"""The mean current that is drawn behind a rectifier, from computed readings: the load's, and a bleeder's beside it."""

from __future__ import annotations

from railwright.handbook.formula import Values
from railwright.quantities import format_quantity


def drawn_current(facts: Values) -> float:
    """Mean current of load and bleeder together. [A] Raises KeyError where the readings don't hold it."""
    load = abs(facts["drawn.current.mean"])
    if "bleeder" not in facts:
        return load
    across = facts.get("reservoir.voltage.mean", facts.get("drawn.voltage.mean"))
    if across is None:
        raise KeyError("drawn.voltage.mean")
    return load + abs(across) / facts["bleeder"]


def drawn_in_words(by_hand: float, facts: Values) -> str:
    """The same beside what was reckoned by hand, as the end of a sentence."""
    whose = "load and bleeder together take" if "bleeder" in facts else "the load takes"
    return f"here {whose} {ampere(drawn_current(facts))}, not {ampere(by_hand)}"


def ampere(current: float) -> str:
    """A current as a sentence says it: three digits, mA or µA where that is shorter."""
    return format_quantity(current, "A", digits=3)
