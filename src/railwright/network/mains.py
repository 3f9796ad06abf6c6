"""The mains as sources: sine with harmonics, generator waveforms, direct voltage, one phase or three."""

from __future__ import annotations

import math

from railwright.network.draft import Draft
from railwright.network.elements import Inductor, Piece, Source
from railwright.supply.model import Mains

#: Degrees by which each line of a three-phase system lags behind the first (L1, L2, L3 in order).
LAGS = (0.0, 120.0, 240.0)


def source(name: str, a: str, b: str, mains: Mains, *, peak: float | None = None, lag: float = 0.0) -> Source:
    """The EMF of the mains with its resistance, its rising zero `lag` degrees after 0."""
    top = mains.peak if peak is None else peak
    resistance = mains.source_resistance
    if mains.waveform == "dc":
        return Source(name=name, a=a, b=b, resistance=resistance, constant=top)
    if mains.waveform == "square":
        return Source(name=name, a=a, b=b, resistance=resistance, pieces=(Piece(level=top), Piece(level=-top)))
    if mains.waveform == "triangle":
        assert mains.frequency is not None
        slope = 4.0 * top * mains.frequency
        pieces = (
            Piece(level=0.0, slope=slope),
            Piece(level=2.0 * top, slope=-slope),
            Piece(level=-4.0 * top, slope=slope),
        )
        return Source(name=name, a=a, b=b, resistance=resistance, pieces=pieces)
    cosine: dict[int, float] = {}
    sine: dict[int, float] = {}
    for order, ratio, phase in ((1, 1.0, 0.0), *((h.order, h.ratio, h.phase) for h in mains.harmonics)):
        angle = math.radians(phase - order * lag)  # sin(n (wt - lag) + phase)
        cosine[order] = cosine.get(order, 0.0) + top * ratio * math.sin(angle)
        sine[order] = sine.get(order, 0.0) + top * ratio * math.cos(angle)
    return Source(name=name, a=a, b=b, resistance=resistance, cosine=cosine, sine=sine)


def breakpoints(mains: Mains, period: float) -> tuple[float, ...]:
    """Known instants inside one mains period at which a generator's waveform changes piece. [s]"""
    if mains.waveform == "square":
        return (0.5 * period,)
    if mains.waveform == "triangle":
        return (0.25 * period, 0.75 * period)
    return ()


def add_mains(draft: Draft) -> None:
    """The source or sources, up to the outlet."""
    mains = draft.supply.mains
    if mains.source == "outlet":
        draft.joined.setdefault("earth", "earth")
        draft.join("neutral", "earth")
    if mains.phases == 3:
        peak = mains.peak / math.sqrt(3.0)
        for line, lag in enumerate(LAGS, 1):
            _feed(draft, f"mains_l{line}", f"l{line}", mains, peak, lag)
        return
    _feed(draft, "mains", "live", mains, mains.peak, 0.0)


def _feed(draft: Draft, name: str, outlet: str, mains: Mains, peak: float, lag: float) -> None:
    inner = outlet
    if mains.source_inductance > 0.0:
        inner = f"{name} emf"
        draft.add(
            Inductor(
                name=f"{name} inductance", a=inner, b=draft.node(outlet), inductance=mains.source_inductance
            )
        )  # fmt: skip
    draft.add(source(name, draft.node(inner), draft.node("neutral"), mains, peak=peak, lag=lag))
