"""When a regulator or stabiliser leaves regulation: the stretches that a picture of waveforms has to name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["StateSpan", "state_spans", "telling_states"]

#: States that tell a reader something, in a reader's words; pieces of curves and ordinary work aren't among them.
_WORDS = {
    "dropout": "dropout",
    "limiting": "current limit",
    "off, output high": "off, output high",
    "off, no headroom": "off, no headroom",
    "off": "off",
    "forward": "conducts forward",
    "saturated": "saturated",
    "below its floor": "below its least voltage",
    "beyond its range": "beyond its range",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StateSpan:
    """A stretch of the period in which one part isn't in ordinary work."""

    part: str
    start: float  # [deg]
    end: float  # [deg]
    words: str


def telling_states(states: Mapping[str, str]) -> dict[str, str]:
    """The states worth telling, in a reader's words, by designator."""
    return {part: _WORDS[state] for part, state in states.items() if state in _WORDS}


def state_spans(study: Study) -> dict[str, tuple[StateSpan, ...]]:
    """By regulator or zener, the stretches in which it doesn't regulate, neighbours joined; empty if it always does."""
    found: dict[str, list[StateSpan]] = {}
    for interval in study.conduction:
        for part, words in telling_states(interval.states).items():
            if not _is_regulator(part):
                continue
            spans = found.setdefault(part, [])
            if spans and spans[-1].words == words and abs(spans[-1].end - interval.start) < 1e-6:
                begin = spans.pop().start
            else:
                begin = interval.start
            spans.append(StateSpan(part=part, start=begin, end=interval.end, words=words))
    return {part: tuple(spans) for part, spans in sorted(found.items())}


def _is_regulator(part: str) -> bool:
    return part[:1] in ("U", "Z") and part[1:].isdigit()
