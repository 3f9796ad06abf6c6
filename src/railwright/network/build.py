"""From a supply at a model to its network: every part between its nodes, probes' loading and faults included."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from railwright.network.diodes import add_diode
from railwright.network.draft import Draft
from railwright.network.elements import Capacitor, Element, Piece, Source
from railwright.network.islands import ground
from railwright.network.loads import add_loads, pulse_levels
from railwright.network.mains import add_mains, breakpoints
from railwright.network.network import Network, NotSolvedYet
from railwright.network.own_network import add_own_network
from railwright.network.passive import add_passive
from railwright.network.regulators import add_regulator, add_zener
from railwright.network.transformer import add_winding
from railwright.network.tuning import Tuning, Wanted
from railwright.supply.model import Load, Mains, Supply

#: Diodes that take over from each other.
_TAKE_OVER = {
    "centre-tap": (("D1", "D2"),),
    "bridge": (("D1", "D2"), ("D3", "D4")),
    "dual-rail": (("D1", "D2"), ("D3", "D4")),
    "three-phase-half-wave": (("D1", "D2", "D3"),),
    "three-phase-bridge": (("D1", "D3", "D5"), ("D2", "D4", "D6")),
}
#: Mains periods and pulses that a pulsed load's common period may hold together.
_COMMON_LIMIT = 100


def build(supply: Supply, model: str = "textbook", tuning: Tuning | None = None) -> Network:
    """The network of a supply.

    Parameters
    ----------
    model : str
        `ideal`, `textbook` or `physical`.
    tuning : Tuning or None
        What the many-segment parts are fitted to; a first guess if not given.

    Raises
    ------
    NotSolvedYet
        If the sheet asks for what no network can be built for.
    """
    mains = _first_mains(supply)
    mains_period = 1.0 if mains.frequency is None else 1.0 / mains.frequency
    count = _mains_periods(supply, mains_period)
    period = count * mains_period
    draft = Draft(supply, model, tuning or Tuning())
    draft.edges = _edges(supply, mains, mains_period, count)
    draft.period = period
    _clips(draft)
    if supply.elements:
        add_own_network(draft)
    else:
        add_mains(draft)
        add_winding(draft)
        _parts(draft)
        add_loads(draft)
    _rectifier(draft)
    _probes(draft)
    reference = ground(draft, first=(supply.network.common,) if supply.network is not None else ())
    return Network(
        title=supply.title,
        model=model,
        elements=_repeat_pieces(draft, mains, mains_period, count),
        ground=reference,
        nodes=dict(draft.joined),
        period=period,
        mains_periods=count,
        frequency=mains.frequency,
        breakpoints=tuple(e for e in draft.edges if e > 0.0),
        places=draft.places,
        emf=draft.emf,
        groups=_TAKE_OVER.get(supply.rectifier.circuit, ()),
        wanted=Wanted(diodes=tuple(draft.laws), loads=dict(draft.powers), regulators=dict(draft.inputs)),
        laws=draft.laws,
        tuning=draft.tuning,
        notes=tuple(draft.notes),
    )


# -- time -------------------------------------------------------------


def _first_mains(supply: Supply) -> Mains:
    if not supply.elements:
        return supply.mains
    sources = [e.source for e in supply.elements if e.kind == "source" and e.source is not None]
    frequencies = {s.frequency for s in sources if s.frequency is not None}
    if len(frequencies) > 1:
        words = ", ".join(f"{f:g} Hz" for f in sorted(frequencies))
        raise NotSolvedYet(f"The sources have different frequencies ({words}): they must share one.")
    alternating = [s for s in sources if s.frequency is not None]
    return alternating[0] if alternating else sources[0]


def _pulsed(supply: Supply) -> list[Load]:
    loads = supply.loads
    every = (loads.single, loads.positive, loads.negative, loads.across)
    return [load for load in every if load is not None and load.kind == "pulses"]


def _mains_periods(supply: Supply, mains_period: float) -> int:
    """Mains periods in the common period."""
    count = 1
    for load in _pulsed(supply):
        assert load.pulse_period is not None
        ratio = load.pulse_period / mains_period
        share = Fraction(ratio).limit_denominator(_COMMON_LIMIT)
        if abs(float(share) - ratio) > 1e-9 * ratio or share.numerator * share.denominator > _COMMON_LIMIT:
            raise NotSolvedYet(
                f"The load's pulses repeat after {load.pulse_period:g} s, which is no simple fraction p/q of the mains "
                f"period (p times q at most {_COMMON_LIMIT}): there is no common period to solve. Choose "
                f"{float(Fraction(ratio).limit_denominator(9)) * mains_period:g} s."
            )
        count = max(count, share.numerator * count // _gcd(share.numerator, count))
    return count


def _gcd(a: int, b: int) -> int:
    while b:
        a, b = b, a % b
    return a


def _edges(supply: Supply, mains: Mains, mains_period: float, count: int) -> list[float]:
    """Instants from which a new stretch of the schedule holds, the first at 0. [s]"""
    period = count * mains_period
    edges = {0.0}
    for k in range(count):
        edges |= {k * mains_period + point for point in breakpoints(mains, mains_period)}
        if mains.waveform in ("square", "triangle"):
            edges.add(k * mains_period)
    for load in _pulsed(supply):
        edges |= set(pulse_levels(period, load)[0])
    rising = sorted(edges)
    return [e for k, e in enumerate(rising) if k == 0 or e - rising[k - 1] > 1e-9 * mains_period]


def _repeat_pieces(draft: Draft, mains: Mains, mains_period: float, count: int) -> tuple[Element, ...]:
    """Give every source with pieces one piece for each stretch of the schedule."""
    own = (0.0, *breakpoints(mains, mains_period))
    elements: list[Element] = []
    for element in draft.elements:
        if isinstance(element, Source) and element.pieces:
            pieces = []
            for start, end in draft.stretches():
                middle = 0.5 * (start + end)
                turn = int(middle // mains_period)
                which = max(k for k, edge in enumerate(own) if turn * mains_period + edge <= middle)
                piece = element.pieces[which]
                # The ramp counts from the common period's start.
                pieces.append(Piece(level=piece.level - piece.slope * turn * mains_period, slope=piece.slope))
            elements.append(replace(element, pieces=tuple(pieces)))
        else:
            elements.append(element)
    return tuple(elements)


# -- parts -------------------------------------------------------------


def _clips(draft: Draft) -> None:
    """Earthed clips of scopes are one node."""
    for probe in draft.supply.probes:
        if probe.clip_earthed:
            draft.joined.setdefault("earth", "earth")
            draft.join("earth", probe.negative)


def _parts(draft: Draft) -> None:
    for part in draft.parts:
        if part.kind == "diode":
            add_diode(draft, part, draft.supply.rectifier.diode)
        elif part.kind in ("capacitor", "resistor", "choke", "bleeder"):
            if part.fitted:
                add_passive(draft, part)
        elif part.kind == "wire":
            draft.resistor(part.designator, part.nodes[0], part.nodes[1], 0.0)
        elif part.kind == "regulator":
            add_regulator(draft, part)
        elif part.kind == "zener":
            add_zener(draft, part)
    if draft.supply.rectifier.circuit == "multiplier":
        for stage in range(1, draft.supply.rectifier.stages + 1):
            draft.place(f"stage_{stage}", "dc", f"stage_{stage}", "negative")


def _rectifier(draft: Draft) -> None:
    """The place between rectifier and filter; its current is what the diodes on the positive rail deliver."""
    if "positive" not in draft.joined or "negative" not in draft.joined:
        return
    rail = draft.node("positive")
    feeding = [
        carried
        for part in draft.parts
        if part.kind == "diode" and draft.node(part.nodes[1]) == rail
        for carried in draft.currents_of(part.designator)
    ]
    draft.place("rectifier", "dc", "positive", "negative", feeding)


def _probes(draft: Draft) -> None:
    for probe in draft.supply.probes:
        if draft.model != "ideal":
            draft.resistor(f"{probe.name} resistance", probe.positive, probe.negative, probe.resistance)
            if probe.capacitance > 0.0:
                draft.add(
                    Capacitor(
                        name=f"{probe.name} capacitance",
                        a=draft.node(probe.positive),
                        b=draft.node(probe.negative),
                        capacitance=probe.capacitance,
                    )
                )
        draft.place(probe.name, "probe", probe.positive, probe.negative)
