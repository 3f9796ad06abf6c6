"""One instant of a supply in words: the way of the current, where it splits, and why other diodes don't conduct."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from railwright.figures.branches import Branch, Feed, Graph, graph_at, oriented_nodes
from railwright.figures.caption import interval_at, joined
from railwright.figures.rows import DIGITS
from railwright.quantities import format_quantity
from railwright.supply import parts
from railwright.supply.model import Supply

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["Split", "Way", "caption_at", "way_at", "why_not"]

#: Below this share of the largest blocked voltage a diode is about to conduct, and "blocks 0 V" would only puzzle.
_LEAST_BLOCKED = 1e-3
#: Share of the largest voltage below which one is rounding.
_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """A node at which the current divides, as the caption names it."""

    entering: float  # [A] what arrives there
    shares: tuple[tuple[str, float], ...]  # designator, or the terminal it returns to, and current [A]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """The way of the current at one instant, as sentences and as the facts that they tell."""

    sentences: tuple[str, ...]
    passed: tuple[str, ...]  # designators in the order in which they are named
    splits: tuple[Split, ...]


def caption_at(study: Study, degrees: float, convention: Literal["conventional", "electron"] = "conventional") -> str:
    """What happens at an instant, in words.

    Parameters
    ----------
    study : Study
    degrees : float
        From the rising zero of the source EMF. [deg]
    convention : str
        ``conventional`` or ``electron``: the way is told in that direction.

    Returns
    -------
    str
        "a is 11.3 V above b. Current leaves a, passes D1, splits between C1 (0.92 A) and the load (0.14 A), returns
        through D4 to b. D2 blocks 10.6 V, D3 blocks 10.6 V."

    Raises
    ------
    ValueError
        If the convention is neither word.
    """
    if convention not in ("conventional", "electron"):
        raise ValueError(f'convention "{convention}" is not known. Allowed: conventional, electron.')
    way = way_at(study, degrees, convention)
    return " ".join(filter(None, (_source_words(study, degrees), *way.sentences, _blocked(study, degrees))))


def why_not(study: Study, degrees: float) -> tuple[str, ...]:
    """For each diode that doesn't conduct, a sentence that says why, from the voltages at its ends.

    "At the positive rail D2 doesn't conduct: b is 10.6 V below the rail."
    """
    voltages = study.voltages_at(degrees)
    interval = interval_at(study, degrees)
    same = oriented_nodes(study.supply)
    diodes = [part for part in parts(study.supply) if part.kind == "diode"]
    open_or_shorted = {fault.target for fault in study.supply.faults}
    anodes: defaultdict[str, list[str]] = defaultdict(list)
    cathodes: defaultdict[str, list[str]] = defaultdict(list)
    for part in diodes:
        anodes[same.get(part.nodes[0], part.nodes[0])].append(part.designator)
        cathodes[same.get(part.nodes[1], part.nodes[1])].append(part.designator)
    sentences = []
    for part in diodes:
        name = part.designator
        across = voltages.get(name)
        if across is None or interval is None or name in interval.on or name in open_or_shorted:
            continue
        anode, cathode = part.nodes[0], part.nodes[1]
        shares_cathode = len(cathodes[same.get(cathode, cathode)]) > 1
        shares_anode = len(anodes[same.get(anode, anode)]) > 1
        # The junction is where the other diode is; the other end tells why this one blocks.
        here, there, above = (anode, cathode, -across) if shares_anode and not shares_cathode else (
            cathode, anode, across)  # fmt: skip
        junction, other = node_words(study.supply, here), node_words(study.supply, there)
        place = f"At {junction} " if shares_cathode or shares_anode else ""
        it = "the rail" if junction.endswith("rail") and place else "it" if place else junction
        if across > 0.0:
            drop = format_quantity(across, "V", digits=DIGITS)
            sentences.append(f"{place}{name} doesn't conduct: the {drop} across it don't exceed its drop.")
        else:
            side = "above" if above > 0.0 else "below"
            volts = format_quantity(abs(above), "V", digits=DIGITS)
            sentences.append(f"{place}{name} doesn't conduct: {other} is {volts} {side} {it}.")
    return tuple(sentences)


# ---------------------------------------------------------------- names


#: Kinds of feeds that are the supply's own source.
_SOURCES = ("winding", "source")
#: Names of nodes in the order in which a reader knows them.
_BEST = {
    name: place
    for place, name in enumerate(("zero", "negative", "positive", "winding_a", "winding_b", "tap", "output"))
}
_NODES = {
    "winding_a": "a", "winding_b": "b", "tap": "the tap", "positive": "the positive rail",
    "negative": "the negative rail", "zero": "0 V", "output": "the output", "output_negative": "the negative output",
    "neutral": "the neutral", "star": "the star point",
}  # fmt: skip
_PLACES = {
    "load": "the load", "load_positive": "the positive load", "load_negative": "the negative load",
    "load_across": "the load across the rails",
}  # fmt: skip


def node_words(supply: Supply, node: str) -> str:
    """A node's name in a sentence."""
    if supply.elements:
        return f"node {node}"
    if node.startswith("winding_") and node[-1].isdigit():
        return f"phase {node[-1]}"
    if node.startswith(("stage_", "pump_")):
        return node.replace("_", " ")
    return _NODES.get(node, node.replace("_", " "))


def _place_words(name: str) -> str:
    return _PLACES.get(name, name)


def _amount(current: float) -> str:
    return format_quantity(current, "A", digits=DIGITS)


# ---------------------------------------------------------------- source and blocking


def _source_words(study: Study, degrees: float) -> str:
    """Which end of the winding is above which."""
    voltages, supply = study.voltages_at(degrees), study.supply

    def compared(one: str, volts: float, other: str) -> str:
        if abs(volts) <= _NOTHING * max((abs(v) for v in voltages.values()), default=0.0):
            return f"{one} is level with {other}"  # at a zero crossing, give or take rounding
        high, low = (one, other) if volts >= 0.0 else (other, one)
        return f"{high} is {format_quantity(abs(volts), 'V', digits=DIGITS)} above {low}"

    if supply.elements:
        source = next(element for element in supply.elements if element.kind == "source")
        if source.name not in voltages:
            return ""
        ends = node_words(supply, source.start), node_words(supply, source.end)
        words = compared(ends[0], voltages[source.name], ends[1])
        return words[:1].upper() + words[1:] + "."
    if supply.mains.phases == 3:
        phases = {k: voltages[f"secondary_{k}"] for k in (1, 2, 3) if f"secondary_{k}" in voltages}
        delta = supply.transformer is not None and supply.transformer.connection.endswith("-delta")
        if len(phases) < 3 or delta:
            return ""
        order = sorted(phases, key=lambda k: -phases[k])
        between = format_quantity(phases[order[0]] - phases[order[2]], "V", digits=DIGITS)
        return f"Phase {order[0]} is highest, phase {order[2]} lowest, {between} apart."
    if "secondary_a" in voltages and "secondary_b" in voltages:
        halves = [compared(end, voltages[f"secondary_{end}"], "the tap") for end in ("a", "b")]
        both = f"{halves[0]}, {halves[1]}."
        return both[:1].upper() + both[1:] if both.startswith("the") else both
    if "secondary" in voltages:
        return compared("a", voltages["secondary"], "b") + "."
    return ""


def _blocked(study: Study, degrees: float) -> str:
    interval = interval_at(study, degrees)
    if interval is None:
        return ""
    voltages = study.voltages_at(degrees)
    volts = {name: -voltages[name] if name in voltages else most for name, most in interval.blocking.items()}
    least = _LEAST_BLOCKED * max((abs(value) for value in volts.values()), default=0.0)
    words = [
        f"{name} blocks {format_quantity(value, 'V', digits=DIGITS)}" for name, value in volts.items() if value > least
    ]
    return ", ".join(words) + "." if words else ""


# ---------------------------------------------------------------- the way


def way_at(study: Study, degrees: float, convention: Literal["conventional", "electron"] = "conventional") -> Way:
    """The way of the current at an instant: sentences, parts in their order, splits with their shares."""
    graph = graph_at(study, degrees)
    if convention == "electron":
        graph = _reversed(graph)
    return _Teller(study.supply, graph, electrons=convention == "electron").tell()


def _reversed(graph: Graph) -> Graph:
    branches = tuple(
        Branch(name=b.name, kind=b.kind, start=b.end, end=b.start, current=b.current, gives=b.gives)
        for b in graph.branches
    )
    feeds = tuple(
        Feed(name=f.name, kind=f.kind, node=f.node, terminal=f.terminal, current=-f.current) for f in graph.feeds
    )
    return Graph(branches=branches, feeds=feeds, largest=graph.largest)


class _Teller:
    """Follows the branches from what feeds them, and says what it meets."""

    def __init__(self, supply: Supply, graph: Graph, *, electrons: bool) -> None:
        self.supply, self.graph, self.electrons = supply, graph, electrons
        self.leaving: defaultdict[str, list[Branch]] = defaultdict(list)
        self.arriving: defaultdict[str, list[Branch]] = defaultdict(list)
        for branch in graph.branches:
            self.leaving[branch.start].append(branch)
            self.arriving[branch.end].append(branch)
        self.feeds: defaultdict[str, list[Feed]] = defaultdict(list)
        for feed in graph.feeds:
            self.feeds[feed.node].append(feed)
        self.least = 0.5 * 0.005 * graph.largest
        self.told: set[str] = set()  # names of branches
        self.inside: set[str] = set()  # names of branches that lie between a division and where it meets again
        self.meetings: dict[str, str] = {}  # where the current of such an inner node meets the rest again
        self.divided = False  # whether the sentence has told a division already
        self.passed: list[str] = []
        self.splits: list[Split] = []
        self.rank = self._ranks()

    # -- the graph -----------------------------------------------------------------

    def _ranks(self) -> dict[str, int]:
        """Nodes in an order in which every branch leads onwards."""
        waiting = {node: len(self.arriving[node]) for node in {*self.leaving, *self.arriving, *self.feeds}}
        ready = sorted(node for node, count in waiting.items() if count == 0)
        rank: dict[str, int] = {}
        while ready:
            node = ready.pop(0)
            rank[node] = len(rank)
            for branch in self.leaving[node]:
                waiting[branch.end] -= 1
                if waiting[branch.end] == 0:
                    ready.append(branch.end)
        return rank

    def _net(self, node: str) -> float:
        """What feeds give to a node, less what they take from it. [A]"""
        return sum(feed.current for feed in self.feeds[node])

    def _reach(self, node: str) -> set[str]:
        found, front = {node}, [node]
        while front:
            for branch in self.leaving[front.pop()]:
                if branch.end not in found:
                    found.add(branch.end)
                    front.append(branch.end)
        return found

    def _meeting(self, branches: Sequence[Branch]) -> str | None:
        """The first node that all of these branches lead to."""
        common = set.intersection(*(self._reach(branch.end) for branch in branches))
        # All of the current must pass it: no branch around it.
        for node in sorted(common, key=lambda node: self.rank.get(node, 0)):
            if all(self._all_pass(branch.end, node) for branch in branches):
                return node
        return None

    def _all_pass(self, start: str, through: str) -> bool:
        """Whether nothing from `start` gets past `through`, to a sink or a dead end."""
        seen, front = {start}, [start]
        while front:
            node = front.pop()
            if node == through:
                continue
            if not self.leaving[node] or self._taken(node):
                return False
            for branch in self.leaving[node]:
                if branch.end not in seen:
                    seen.add(branch.end)
                    front.append(branch.end)
        return True

    # -- telling -----------------------------------------------------------------

    def tell(self) -> Way:
        """All sentences."""
        if not self.graph.branches:
            return Way(sentences=("No current flows.",), passed=(), splits=())
        sentences = []
        # What feeds most begins; windings before stores.
        starts = sorted(
            (node for node in self.feeds if self._net(node) > self.least and self.leaving[node]),
            key=lambda node: (not self._from_source(node), -self._net(node)),
        )
        starts += [node for node in self.leaving if node not in starts and not self.arriving[node]]
        for start in starts:
            if any(branch.name not in self.told for branch in self.leaving[start]):
                sentences += self._from(start, None)
        while rest := [branch for branch in self.graph.branches if branch.name not in self.told]:
            first = min(rest, key=lambda branch: self.rank.get(branch.start, 0))
            sentences += self._from(first.start, None, behind=True)
        return Way(sentences=tuple(sentences), passed=tuple(self.passed), splits=tuple(self.splits))

    def _from_source(self, node: str) -> bool:
        return any(feed.kind in _SOURCES and feed.current > 0.0 for feed in self.feeds[node])

    def _winding(self, node: str) -> float:
        """What the source's windings give to a node, less what they take from it. [A]"""
        return sum(feed.current for feed in self.feeds[node] if feed.kind in _SOURCES)

    def _gifts(self, node: str) -> list[tuple[str, float]]:
        """What feeds a node, each store for itself and the windings together. [A]"""
        found = [
            (_place_words(feed.name), feed.current)
            for feed in self.feeds[node]
            if feed.kind not in _SOURCES and feed.current > 0.0
        ]
        winding = self._winding(node)
        return [*found, ("the winding", winding)] if winding > self.least else found

    def _given(self, node: str) -> list[str]:
        return [f"{name} ({_amount(current)})" for name, current in self._gifts(node)]

    def _begin(self, node: str, *, behind: bool) -> str:
        feeds = [feed for feed in self.feeds[node] if feed.current > 0.0]
        if behind or not feeds:
            before = [branch.name for branch in self.arriving[node]]
            words = joined([_place_words(name) for name in before]) if before else self._node_words(node)
            added = self._given(node)
            joins = f", joined by {joined(added)}," if added else ""
            return f"Behind {words}{joins} {'they' if self.electrons else 'it'} "
        first = max(feeds, key=lambda feed: (feed.kind in _SOURCES, feed.current))
        others = [feed for feed in feeds if feed is not first and feed.kind not in _SOURCES]
        also = "also " if self.passed else ""
        subject = f"Electrons {also}leave" if self.electrons else f"Current {also}leaves"
        words = node_words(self.supply, first.terminal)
        if first.kind not in _SOURCES:
            words = f"{_place_words(first.name)} ({_amount(first.current)})"
        added = [f"{_place_words(feed.name)} ({_amount(feed.current)})" for feed in others]
        return f"{subject} {words}" + (f" and {joined(added)}" if added else "") + ", "

    def _node_words(self, node: str) -> str:
        """The best known of a node's names."""
        same = oriented_nodes(self.supply)
        names = [name for name, root in same.items() if root == node] or [node]
        return node_words(self.supply, min(names, key=lambda name: _BEST.get(name, len(_BEST))))

    def _from(self, start: str, stop: str | None, *, behind: bool = False) -> list[str]:
        """The sentence that begins at a node and ends at another, or at what the current returns to."""
        clauses: list[str] = []
        inner: list[str] = []
        self.divided = False
        sentence = self._begin(start, behind=behind)
        node, through = start, ""
        while node != stop:
            out = [branch for branch in self.leaving[node] if branch.name not in self.told]
            taken = self._taken(node)
            if not out or (node != start and len(out) != len(self.leaving[node])):
                if taken:
                    self._return(clauses, through, taken)
                    through = ""
                break
            if through:
                clauses.append(f"{self._verb('pass')} {_place_words(through)}")
                through = ""
            joins = self._joins(node) if node != start else ""
            if joins:
                clauses.append(joins)
            if len(out) == 1 and not taken:
                self.told.add(out[0].name)
                self.passed.append(out[0].name)
                through, node = out[0].name, out[0].end
                continue
            clauses.append(self._split(out, taken))
            meeting = self._meeting(out)
            if meeting is None:
                inner += [branch.end for branch in out]
                break
            inner += [branch.end for branch in out if branch.end != meeting]
            self._region(out, meeting)
            node = meeting
        if through:
            clauses.append(f"{self._verb('pass')} {_place_words(through)}")
        sentences = [f"{sentence}{', '.join(clauses)}."] if clauses else []
        for follow in dict.fromkeys(sorted(inner, key=lambda n: self.rank.get(n, 0))):
            if any(branch.name not in self.told for branch in self.leaving[follow]):
                sentences += self._from(follow, self.meetings.get(follow), behind=True)
        return sentences

    def _region(self, out: Sequence[Branch], meeting: str) -> None:
        """Remember where the inner branches of a split end, so that their own sentences stop there."""
        for branch in out:
            for node in self._reach(branch.end) - self._reach(meeting):
                self.meetings[node] = meeting
                self.inside |= {each.name for each in self.leaving[node]}

    def _verb(self, stem: str) -> str:
        singular = {"pass": "passes", "split": "splits", "return": "returns", "is": "is"}
        plural = {"pass": "pass", "split": "split", "return": "return", "is": "are"}
        return (plural if self.electrons else singular)[stem]

    def _taken(self, node: str) -> list[tuple[str, float]]:
        """Where feeds take current back at a node, and how much: a winding's end, a store's other plate. [A]"""
        found = [
            (_place_words(feed.name), -feed.current)
            for feed in self.feeds[node]
            if feed.kind not in _SOURCES and feed.current < 0.0
        ]
        winding = self._winding(node)
        if winding < -self.least:
            taker = next(feed for feed in self.feeds[node] if feed.kind in _SOURCES and feed.current < 0.0)
            found.insert(0, (node_words(self.supply, taker.terminal), -winding))
        return found

    def _return(self, clauses: list[str], through: str, taken: list[tuple[str, float]]) -> None:
        way = f" through {_place_words(through)}" if through else ""
        ends = [name if len(taken) == 1 else f"{name} ({_amount(amount)})" for name, amount in taken]
        clauses.append(f"{self._verb('return')}{way} to {joined(ends)}")

    def _joins(self, node: str) -> str:
        """What flows in beside the way that is being told."""
        extra = self._given(node)
        extra += [
            f"{_place_words(branch.name)} ({_amount(branch.current)})"
            for branch in self.arriving[node]
            if branch.name not in self.told and branch.name not in self.inside
        ]
        return f"{self._verb('is')} joined by {joined(extra)}" if extra else ""

    def _split(self, out: Sequence[Branch], taken: list[tuple[str, float]]) -> str:
        shares = [(branch.name, branch.current) for branch in sorted(out, key=lambda b: -b.current)]
        self.told |= {name for name, _ in shares}
        self.passed += [name for name, _ in shares]
        start = out[0].start
        entering = sum(b.current for b in self.arriving[start]) + sum(current for _, current in self._gifts(start))
        self.splits.append(Split(entering=entering, shares=(*shares, *taken)))
        words = [f"{_place_words(name)} ({_amount(current)})" for name, current in shares]
        words += [f"{name} ({_amount(current)})" for name, current in taken]
        # The second division of a sentence says where it lies.
        where = f"at {self._node_words(out[0].start)} " if self.divided else ""
        self.divided = True
        return f"{where}{self._verb('split')} between {joined(words)}"
