"""Output rows: any voltage between two nodes, any branch current, as a linear form over unknowns and states."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from railwright.network.elements import Inductor, Resistor, Source, StiffCore
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.pattern import Pattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Weights over the unknowns y and over the state X."""

    unknowns: Array
    states: Array

    def __add__(self, other: Row) -> Row:
        return Row(unknowns=self.unknowns + other.unknowns, states=self.states + other.states)

    def scaled(self, factor: float) -> Row:
        """The row times a factor."""
        return Row(unknowns=self.unknowns * factor, states=self.states * factor)


@dataclass(frozen=True, slots=True)
class Rows:
    """Makes the rows of one network."""

    equations: Equations

    def _blank(self) -> tuple[Array, Array]:
        layout = self.equations.layout
        return np.zeros(layout.unknowns), np.zeros(layout.size)

    def nothing(self) -> Row:
        """The row that is always zero."""
        unknowns, states = self._blank()
        return Row(unknowns=unknowns, states=states)

    def voltage(self, plus: str, minus: str) -> Row:
        """Voltage from node `plus` to node `minus`."""
        unknowns, states = self._blank()
        nodes = self.equations.layout.nodes
        if plus in nodes:
            unknowns[nodes[plus]] += 1.0
        if minus in nodes:
            unknowns[nodes[minus]] -= 1.0
        return Row(unknowns=unknowns, states=states)

    def current(self, name: str) -> Row:
        """Current of an element, in its own direction."""
        layout = self.equations.layout
        unknowns, states = self._blank()
        if name in layout.branches:
            unknowns[layout.branches[name]] = 1.0
            return Row(unknowns=unknowns, states=states)
        element = next(e for e in self.equations.network.elements if e.name == name)
        if isinstance(element, Resistor):
            return self.voltage(element.a, element.b).scaled(1.0 / element.resistance)
        if isinstance(element, Inductor):
            states[layout.states[name]] = 1.0
        elif isinstance(element, StiffCore):
            states[layout.states[name] + 1] = 1.0
        elif isinstance(element, Source) and element.is_current:
            raise KeyError(f"{name} is a given current: read it from the source's value")
        return Row(unknowns=unknowns, states=states)

    def state(self, name: str) -> Row:
        """The state that an element holds: capacitor voltage, choke current, flux."""
        unknowns, states = self._blank()
        states[self.equations.layout.states[name]] = 1.0
        return Row(unknowns=unknowns, states=states)


def stack(rows: Sequence[Row]) -> tuple[Array, Array]:
    """Weights of many rows: arrays (rows, unknowns) and (rows, states)."""
    return np.array([r.unknowns for r in rows]), np.array([r.states for r in rows])


def over_states(weights: tuple[Array, Array], pattern: Pattern) -> Array:
    """The rows as forms over X in one pattern: array (rows, states)."""
    result: Array = weights[0] @ pattern.outputs + weights[1]
    return result
