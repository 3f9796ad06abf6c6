"""What each state of each block says about the unknowns y and the state X, worked out once for all patterns."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from railwright.network.elements import Block, Law
from railwright.solver.elimination import Array
from railwright.solver.layout import Layout
from railwright.solver.pattern import Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockRows:
    """One state of one block: its law (row @ y + row @ X = 0) and its guards (the same >= 0).

    law, law_states : array (unknowns,), (states,)
    guards, guard_states : array (guards, unknowns), (guards, states)
    marks : array (guards, 3)
        The state that each guard leads to, whether it watches the current alone, and whether a current against zero.
    slope : float
        How much current a volt makes on the line of this state. [S]
    """

    law: Array
    law_states: Array
    guards: Array
    guard_states: Array
    marks: Numbers
    slope: float
    blocks: bool


def row_over_unknowns(layout: Layout, block: Block, law: Law) -> Array:
    """The part of a law that reads node voltages and the block's current, as a row over y."""
    row = np.zeros(layout.unknowns)
    for node, weight in (
        (block.a, law.across),
        (block.b, law.output - law.across),
        (block.reference, -law.output),
    ):
        if node in layout.nodes:
            row[layout.nodes[node]] += weight
    row[layout.branches[block.name]] += law.current
    return row


def row_over_states(layout: Layout, block: Block, law: Law) -> Array:
    """The part of a law that reads the block's flux, and its constant, as a row over X."""
    row = np.zeros(layout.size)
    if law.flux:
        row[layout.states[block.name]] = law.flux
    row[layout.one] = law.constant
    return row


@dataclass
class RowsOfBlocks:
    """The rows of every block's states, made when first asked for."""

    layout: Layout
    blocks: tuple[Block, ...]
    _made: dict[tuple[int, int, int], BlockRows] = field(default_factory=dict)

    def of(self, number: int, state: int, stretch: int) -> BlockRows:
        """One state of one block in a stretch of the schedule."""
        block = self.blocks[number]
        place = (number, state, stretch if block.variants else 0)
        found = self._made.get(place)
        if found is None:
            found = self._made[place] = self._make(block, state, stretch)
        return found

    def _make(self, block: Block, state: int, stretch: int) -> BlockRows:
        layout, chosen = self.layout, block.at(stretch)[state]
        laws = [guard.law for guard in chosen.guards]
        return BlockRows(
            law=row_over_unknowns(layout, block, chosen.law),
            law_states=row_over_states(layout, block, chosen.law),
            guards=np.array([row_over_unknowns(layout, block, law) for law in laws]).reshape(-1, layout.unknowns),
            guard_states=np.array([row_over_states(layout, block, law) for law in laws]).reshape(-1, layout.size),
            marks=np.array(
                [
                    (
                        g.target,
                        g.law.current != 0.0 and g.law.across == 0.0,
                        g.law.current != 0.0 and g.law.constant == 0.0,
                    )
                    for g in chosen.guards
                ],
                dtype=np.int64,
            ).reshape(-1, 3),
            slope=abs(chosen.law.across / chosen.law.current) if chosen.law.current else 0.0,
            blocks=chosen.blocks,
        )
