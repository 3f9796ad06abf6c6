"""Why a formula differs from the computed value: its assumptions lifted one after the other, in one computed sentence.

The value by hand is followed to the computed one: each step lifts one more assumption by an exact law and the
computed readings of the same supply. What no law lifts is the remainder, and goes to the last assumption.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from railwright.handbook.by_hand import HandResult
from railwright.handbook.formula import Assumption, Formula
from railwright.handbook.registry import look_up
from railwright.quantities import format_quantity

#: Digits to which two values are shown, and within which they count as equal. [-]
DIGITS = 3
REMAINDER = "leaves out all else that the circuit does"


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """The share of one assumption in the difference: how much it makes the formula too high (+) or too low (-)."""

    claim: str  # completes "The formula …"
    amount: float  # [unit of the reading] in size, the reading's sign taken off
    value: float  # [unit of the reading] in size, with this and all earlier assumptions lifted
    instead: str = ""  # what the circuit does in its place, in numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """The sentence, and the contributions that it was computed from; they add up to by hand less computed."""

    sentence: str
    contributions: tuple[Contribution, ...]
    computed: float  # [unit of the reading]
    difference: float | None  # [-] (by hand - computed) / computed; None where the computed value is 0


def explain(result: HandResult, facts: Mapping[str, float], *, digits: int = DIGITS) -> Explanation | None:
    """Say why a value by hand differs from the computed one.

    Parameters
    ----------
    result : HandResult
        One formula worked out for one reading.
    facts : mapping of str to float
        Computed readings of the same supply by their ids, SI and degrees.
    digits : int
        Digits shown; values that agree in them are said to agree.

    Returns
    -------
    Explanation or None
        None where the computed value of this reading isn't among the facts.
    """
    if result.reading not in facts or not math.isfinite(facts[result.reading]):
        return None
    computed = facts[result.reading]
    chosen = look_up(result.formula)
    contributions = _split(chosen, result, _seen_from(result, facts), computed)
    difference = (result.value - computed) / computed if computed != 0.0 else None
    return Explanation(
        sentence=_sentence(chosen, result, contributions, computed, digits),
        contributions=contributions,
        computed=computed,
        difference=difference,
    )


def _seen_from(result: HandResult, facts: Mapping[str, float]) -> Mapping[str, float]:
    """The facts with the places' names of this working added, and the working's circumstances."""
    seen = dict(facts)
    for name, place in result.places.items():
        for reading, value in facts.items():
            if reading.startswith(place + "."):
                seen[name + reading[len(place) :]] = value
    share = _charging_angle(result, facts)
    if share is not None:
        seen["charging.angle"] = share
    return {**seen, **result.circumstances}


def _charging_angle(result: HandResult, facts: Mapping[str, float]) -> float | None:
    """Angle per mains period in which this reservoir is charged. [deg]

    On one rail that is the rectifier's; on two rails each has diodes of its own, one pulse each; and so has each of a
    doubler's two capacitors.
    """
    if "charging_diode" in result.circumstances:
        return facts.get(f"D{result.circumstances['charging_diode']:.0f}.conduction.angle")
    if result.places.get("drawn", "load") == "load":
        return facts.get("rectifier.conduction.angle")
    is_positive = result.places["drawn"] == "load_positive"
    diodes: tuple[str, ...] = ("D1", "D2") if is_positive else ("D3", "D4")
    if result.circumstances.get("pulses") == 1.0:
        diodes = ("D1",) if is_positive else ("D2",)
    angles = [facts.get(f"{diode}.conduction.angle") for diode in diodes]
    known = [angle for angle in angles if angle is not None]
    return sum(known) if len(known) == len(angles) else None


def _relaxed(assumption: Assumption, givens: Mapping[str, float], facts: Mapping[str, float]) -> float | None:
    """The value with the assumption lifted; None where no law is known, or what it needs isn't."""
    if assumption.relaxed is None:
        return None
    try:
        value = float(assumption.relaxed(givens, facts))
    except (KeyError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return value if math.isfinite(value) else None


def _words(assumption: Assumption, givens: Mapping[str, float], facts: Mapping[str, float]) -> str:
    if assumption.instead is None:
        return ""
    try:
        return assumption.instead(givens, facts)
    except (KeyError, ValueError, ZeroDivisionError):
        return ""


def _split(
    chosen: Formula, result: HandResult, facts: Mapping[str, float], computed: float
) -> tuple[Contribution, ...]:
    """Follow the value from by hand to computed; the amounts add up to the whole difference, by construction."""
    sign = -1.0 if computed < 0.0 else 1.0
    standing = result.value * sign
    target = abs(computed)
    contributions: list[Contribution] = []
    left: list[Assumption] = []
    for assumption in chosen.assumptions:
        value = _relaxed(assumption, result.givens, facts)
        if value is None:
            if assumption.relaxed is None:
                left.append(assumption)
            continue
        words = _words(assumption, result.givens, facts)
        contributions.append(
            Contribution(claim=assumption.claim, amount=standing - value, value=value, instead=words)
        )
        standing = value
    if not contributions and not left:
        left = list(chosen.assumptions)
    contributions.append(Contribution(claim=_joined(left), amount=standing - target, value=target))
    return tuple(contributions)


def _joined(left: list[Assumption]) -> str:
    """The claim to which the remainder goes: several share it where no law tells them apart."""
    if not left:
        return REMAINDER
    claims = [assumption.claim for assumption in left]
    if len(claims) == 1:
        return claims[0]
    return f"{', '.join(claims[:-1])}, and {claims[-1]} (no law here tells these apart)"


def _sentence(
    chosen: Formula, result: HandResult, contributions: tuple[Contribution, ...], computed: float, digits: int
) -> str:
    by_hand = format_quantity(abs(result.value), result.unit, digits=digits)
    exact = format_quantity(abs(computed), result.unit, digits=digits)
    if by_hand == exact and (result.value < 0.0) == (computed < 0.0):
        return f"By hand and computed agree in the {digits} digits shown, {exact}."
    off = abs(result.value) - abs(computed) if result.value * computed >= 0.0 else result.value - computed
    high = off > 0.0
    pushing = [part for part in contributions if (part.amount > 0.0) == high and part.amount != 0.0]
    largest = max(pushing, key=lambda part: abs(part.amount)) if pushing else contributions[-1]
    opening = f"Too {'high' if high else 'low'} by {_size(off, computed, result.unit, digits)}"
    sentence = f"{opening} ({by_hand} for {exact}): the formula {largest.claim}"
    if largest.instead:
        sentence += f"; {largest.instead}"
    sentence += "."
    alone, whole = (_size(amount, computed, result.unit, digits) for amount in (largest.amount, off))
    if alone != whole and abs(largest.amount / off - 1.0) > 0.1:
        sentence += f" That alone makes {alone}."
    against = [part for part in contributions if part.amount * off < 0.0]
    if against:
        strongest = max(against, key=lambda part: abs(part.amount))
        if abs(strongest.amount) > 0.25 * abs(off):
            sentence += (
                f" It would be {_size(strongest.amount, computed, result.unit, digits)} more, "
                f"but it also {strongest.claim}"
            )
            sentence += f"; {strongest.instead}." if strongest.instead else "."
    if not result.valid:
        sentence += f" It is used outside its range: {_lower(chosen.validity.sentence)}"
    return sentence


def _size(amount: float, computed: float, unit: str, digits: int) -> str:
    """A difference as a percentage of the computed value, or in its own unit where that is zero."""
    if computed == 0.0:
        return format_quantity(abs(amount), unit, digits=digits)
    percent = abs(amount / computed) * 100.0
    if percent >= 9.95:
        return f"{percent:.0f} %"
    if percent >= 0.0995:
        return f"{percent:.1f} %"
    return f"{percent:.1g} %"


def _lower(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:]
