"""What every state of every block says about the unknowns y and the state X, worked out once for all patterns."""

from __future__ import annotations

from typing import Final

import numpy as np

from railwright.network.elements import Block, Law, State
from railwright.solver.elimination import Array
from railwright.solver.layout import Layout
from railwright.solver.pattern import Flags, Key, Numbers


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


#: [S] Conductance that the elimination can't tell from none; [A] the saturation current of a diode whose reverse law
#: has so little.
_UNSEEN, _TRACE = 1e-12, 1e-6


class BlockRows:
    """The laws (row @ y + row @ X = 0) and guards (the same >= 0) of all blocks' states, one below the other.

    A pattern chooses one state of each block, `chosen`, and with these their guards, `guards_of`.

    Attributes
    ----------
    laws, law_states : array (block states, unknowns), (block states, states)
    slopes : array (block states,)
        How much current a volt makes on the line of a state. [S]
    blocking : array (block states,)
        Whether the block blocks in it: those that do share their voltage.
    guards, guard_states : array (guards, unknowns), (guards, states)
    targets : array (guards,)
        The state of its block that a guard leads to.
    of_current, of_no_current : array (guards,)
        Whether a guard watches the current alone, and whether it watches a current against zero.
    """

    def __init__(self, layout: Layout, blocks: tuple[Block, ...], stretches: int) -> None:
        listed: list[tuple[Block, State]] = []
        firsts = np.zeros((stretches, len(blocks)), dtype=np.int64)
        for stretch in range(stretches):
            for number, block in enumerate(blocks):
                if stretch and not block.variants:
                    firsts[stretch, number] = firsts[0, number]
                else:
                    firsts[stretch, number] = len(listed)
                    listed += [(block, state) for state in block.at(stretch)]
        laws = [(block, state.law) for block, state in listed]
        guards = [(block, guard) for block, state in listed for guard in state.guards]
        self._firsts: Final = firsts
        self.laws, self.law_states = _rows(layout, laws)
        self.slopes = np.array([abs(law.across / law.current) if law.current else 0.0 for _, law in laws])
        self.blocking: Flags = np.array([_blocks(state) for _, state in listed], dtype=bool)
        self._counts: Final[Numbers] = np.array([len(state.guards) for _, state in listed], dtype=np.int64)
        self._starts: Final[Numbers] = np.cumsum(self._counts) - self._counts
        self.guards, self.guard_states = _rows(layout, [(block, guard.law) for block, guard in guards])
        self.targets: Numbers = np.array([guard.target for _, guard in guards], dtype=np.int64)
        watched = [guard.law for _, guard in guards]
        self.of_current: Flags = np.array([bool(law.current) and not law.across for law in watched], dtype=bool)
        self.of_no_current: Flags = np.array([bool(law.current) and not law.constant for law in watched], dtype=bool)

    def chosen(self, key: Key) -> Numbers:
        """The rows of the states that a pattern chooses, in the blocks' order."""
        rows: Numbers = self._firsts[key[0]] + np.array(key[1:], dtype=np.int64)
        return rows

    def guards_of(self, chosen: Numbers) -> tuple[Numbers, Numbers]:
        """The rows of these states' guards, and the number of the block that each belongs to."""
        counts = self._counts[chosen]
        owners = np.repeat(np.arange(len(chosen)), counts)
        before = np.cumsum(counts) - counts
        rows: Numbers = (self._starts[chosen] - before)[owners] + np.arange(len(owners))
        return rows, owners


def _blocks(state: State) -> bool:
    """Whether a block carries nothing in a state, or only a trace that hardly depends on its voltage."""
    law, unit = state.law, abs(state.law.current)
    trace = abs(law.across) < _UNSEEN * unit and abs(law.constant) < _TRACE * unit
    return state.blocks or (trace and not law.flux)  # a core's current follows its flux


def _rows(layout: Layout, laws: list[tuple[Block, Law]]) -> tuple[Array, Array]:
    """Laws over the unknowns, and over the states."""
    unknowns, states = np.zeros((len(laws), layout.unknowns)), np.zeros((len(laws), layout.size))
    for number, (block, law) in enumerate(laws):
        unknowns[number] = row_over_unknowns(layout, block, law)
        states[number] = row_over_states(layout, block, law)
    return unknowns, states
