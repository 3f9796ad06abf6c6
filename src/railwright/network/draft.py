"""The draft of a network: elements and places collected while a supply is gone through once."""

from __future__ import annotations

from collections.abc import Iterable

from railwright.network.elements import Element, Resistor
from railwright.network.exponential import ExponentialLaw
from railwright.network.network import NotSolvedYet, Place, PlaceKind
from railwright.network.tuning import Tuning
from railwright.supply.designators import Part, joined_nodes, parts
from railwright.supply.model import Fault, Supply

#: [ohm] What `shorted` means (a choice of the sheet's fault words).
SHORT = 1e-3


class Draft:
    """Node names, elements, places and notes; the modules beside this one add to it."""

    def __init__(self, supply: Supply, model: str, tuning: Tuning) -> None:
        self.supply, self.model, self.tuning = supply, model, tuning
        self.parts = parts(supply)
        self.joined = dict(joined_nodes(supply))
        self.elements: list[Element] = []
        self.places: dict[str, Place] = {}
        self.emf: dict[str, float] = {}
        self.notes: list[str] = list(supply.notes)
        waiting = [fault for fault in supply.faults if fault.edits != "supply"]
        self.faults: dict[str, Fault] = {f.target: f for f in waiting if f.target not in ("wire", "clips", "wire-off")}
        self.lifted: dict[tuple[str, str], str] = {}  # part and node -> the dangling end
        self.laws: dict[str, ExponentialLaw] = {}  # exponential diodes, to be tuned
        self.powers: dict[str, tuple[str, str]] = {}  # constant-power loads to be tuned
        self.inputs: dict[str, tuple[str, str]] = {}  # regulators to be tuned
        self.edges: list[float] = [0.0]  # [s] from each of which a new stretch of the schedule holds
        self.period = 0.0  # [s] common to mains and loads
        for fault in waiting:
            self._join_or_lift(fault)

    def _join_or_lift(self, fault: Fault) -> None:
        if fault.target in ("wire", "clips"):
            self.join(*fault.nodes)
        elif fault.target == "tap" and fault.action == "to":
            self.join("tap", fault.nodes[0])
        elif fault.target == "wire-off":
            designator, node = fault.nodes
            if next(p for p in self.parts if p.designator == designator).kind == "transformer":
                raise NotSolvedYet(
                    f'The fault "{fault.words}" lifts a lead of the transformer: say winding open or primary open.'
                )
            self.lifted[designator, self.node(node)] = f"{designator} lifted from {node}"

    def stretches(self) -> list[tuple[float, float]]:
        """Start and end of each stretch of the schedule. [s]"""
        return list(zip(self.edges, [*self.edges[1:], self.period], strict=True))

    # -- nodes ---------------------------------------------------------

    def node(self, name: str) -> str:
        """The one name of a place in the circuit."""
        return self.joined.get(name, name)

    def join(self, kept: str, gone: str) -> None:
        """Make two nodes one."""
        keep, old = self.node(kept), self.node(gone)
        self.joined.setdefault(kept, keep)
        self.joined[gone] = keep
        for name, node in self.joined.items():
            if node == old:
                self.joined[name] = keep

    def leads(self, part: Part) -> tuple[str, ...]:
        """The nodes of a part's leads; a lead that a fault has lifted hangs on a node of its own."""
        return tuple(self.lifted.get((part.designator, self.node(n)), self.node(n)) for n in part.nodes)

    # -- faults ---------------------------------------------------------

    def action(self, target: str) -> str:
        """What has happened to a part: "" if nothing."""
        return self.faults[target].action if target in self.faults else ""

    def is_open(self, *targets: str) -> bool:
        """Whether any of these is open."""
        return any(self.action(target) == "open" for target in targets)

    # -- elements and places ---------------------------------------------------------

    def add(self, element: Element) -> None:
        """Take an element in."""
        self.elements.append(element)

    def resistor(self, name: str, a: str, b: str, resistance: float) -> None:
        """A resistor between two named nodes; zero is a wire."""
        self.add(Resistor(name=name, a=self.node(a), b=self.node(b), resistance=resistance))

    def place(
        self,
        name: str,
        kind: PlaceKind,
        plus: str | None,
        minus: str | None,
        currents: Iterable[tuple[str, float]] | None = None,
        *,
        less_mean: bool = False,
    ) -> None:
        """Note where a voltage and a current are read."""
        self.places[name] = Place(
            name=name,
            kind=kind,
            plus=None if plus is None else self.node(plus),
            minus=None if minus is None else self.node(minus),
            currents=None if currents is None else tuple(currents),
            less_mean=less_mean,
        )

    def currents_of(self, place: str) -> tuple[tuple[str, float], ...]:
        """The element currents that make up a place's current."""
        return self.places[place].currents or ()
