"""From a network to its equations: one linear system for each conduction pattern.

The state X holds the capacitor voltages, choke currents, fluxes and constant core currents (its dynamic part z),
then cos and sin of each order that a source uses, the time since the period began if a source has pieces, and 1.
The unknowns y hold all node voltages and all branch currents. A pattern is the stretch of the schedule
and the state of every block; within it y = Y X and X' = M X hold exactly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from railwright.network.elements import Block, Source, StiffCore
from railwright.network.network import Network
from railwright.solver.block_rows import BlockRows
from railwright.solver.elimination import Array, Entries, inverse, reduce
from railwright.solver.failure import TOO_MANY_PATTERNS, NoProvableAnswer
from railwright.solver.layout import lay_out, sort
from railwright.solver.pattern import Flags, Key, Modes, Numbers, Pattern, expand

#: [S] Scale between volts and amperes in the elimination, so that weak leaks aren't taken for nothing.
_ADMITTANCE = 1e-3
#: Share below which a constraint's coefficient is rounding.
_NEGLIGIBLE = 1e-10
#: Conduction patterns visited at most: an ordinary supply visits a few dozen, a many-segment one a few hundred.
MOST_PATTERNS = 3000
#: Rounding that the elimination leaves in a row, as a share of the largest coefficient of its kind.
_ELIMINATION = 1e-15
#: The same after a refinement in the longest floats, and the rounding of each coefficient that follows.
_REFINED, _COEFFICIENT = 8.0 * float(np.finfo(np.longdouble).eps), float(np.finfo(float).eps)
#: Share of a constraint that may stay unmet before the pattern counts as contradictory (binds the source alone).
_CONTRADICTION = 1e-8


def _flux_weight(block: Block) -> float:
    """Root of the inverse inductance that a block's first state shows: energy is flux² / 2 L."""
    law = block.states[block.start].law
    return math.sqrt(abs(law.flux / law.current)) if law.current and law.flux else 1.0


@dataclass
class Equations:
    """The equations of one network; patterns are built on first visit and kept."""

    network: Network
    cells: int = 16
    patterns: dict[Key, Pattern] = field(default_factory=dict)

    def __post_init__(self) -> None:
        kinds = sort(self.network)
        self.resistors, self.wires, self.capacitors = kinds.resistors, kinds.wires, kinds.capacitors
        self.inductors, self.sources, self.current_sources = kinds.inductors, kinds.sources, kinds.current_sources
        self.windings, self.cores, self.blocks = kinds.windings, kinds.cores, kinds.blocks
        self.period = self.network.period
        self.angular_frequency = 2.0 * math.pi * (self.network.frequency or 0.0)
        self.cell = self.period / self.network.mains_periods / self.cells
        self.boundaries = (0.0, *self.network.breakpoints, self.period)
        self.layout = lay_out(self.network, kinds)
        self.block_rows = BlockRows(self.layout, tuple(self.blocks), len(self.boundaries) - 1)
        self.energy = np.array(
            [math.sqrt(c.capacitance) for c in self.capacitors]
            + [math.sqrt(i.inductance) for i in self.inductors]
            + [_flux_weight(b) for b in self.blocks if b.has_flux]
        )
        #: Of all dynamic states: energy is the sum of their weighted squares; fluxes and currents of cores as they are.
        self.weights = np.ones(self.layout.dynamic)
        self.weights[: len(self.energy)] = self.energy
        self._block_places = np.array([self.layout.branches[b.name] for b in self.blocks], dtype=np.int64)
        self._without_blocks: dict[int, tuple[Array, Array]] = {}
        #: Whether inductances and capacitors may ring against each other.
        self.rings = bool(self.capacitors) and bool(self.inductors or any(b.has_flux for b in self.blocks))
        self._common()

    # -- layout ---------------------------------------------------------

    def forcing(self, time: float) -> Array:
        """X at `time` with its dynamic part at zero."""
        layout = self.layout
        state = np.zeros(layout.size)
        for k, order in enumerate(layout.orders):
            angle = order * self.angular_frequency * time
            state[layout.dynamic + 2 * k] = math.cos(angle)
            state[layout.dynamic + 2 * k + 1] = math.sin(angle)
        if layout.ramp is not None:
            state[layout.ramp] = time
        state[layout.one] = 1.0
        return state

    def _value(self, source: Source, stretch: int) -> Array:
        """A source's value as a row over X."""
        layout = self.layout
        row = np.zeros(layout.size)
        for k, order in enumerate(layout.orders):
            row[layout.dynamic + 2 * k] = source.cosine.get(order, 0.0)
            row[layout.dynamic + 2 * k + 1] = source.sine.get(order, 0.0)
        row[layout.one] = source.constant
        if source.pieces:
            piece = source.pieces[stretch]
            row[layout.one] += piece.level
            if layout.ramp is not None:
                row[layout.ramp] += piece.slope
        return row

    # -- the part that no pattern changes ---------------------------------------------------------

    def _common(self) -> None:
        layout = self.layout
        self._matrix = np.zeros((layout.unknowns, layout.unknowns))
        self._right = np.zeros((layout.unknowns, layout.size))
        matrix, right, nodes = self._matrix, self._right, layout.nodes

        def leave(node: str, column: int, sign: float) -> None:
            if node in nodes:
                matrix[nodes[node], column] += sign

        def across(row: int, a: str, b: str, weight: float = 1.0) -> None:
            if a in nodes:
                matrix[row, nodes[a]] += weight
            if b in nodes:
                matrix[row, nodes[b]] -= weight

        for resistor in self.resistors:
            conductance = 1.0 / resistor.resistance
            for node, sign in ((resistor.a, 1.0), (resistor.b, -1.0)):
                if node in nodes:
                    across(nodes[node], resistor.a, resistor.b, sign * conductance)
        for inductor in self.inductors:
            for node, sign in ((inductor.a, 1.0), (inductor.b, -1.0)):
                if node in nodes:
                    right[nodes[node], layout.states[inductor.name]] -= sign
        for core in self.cores:
            for node, sign in ((core.a, 1.0), (core.b, -1.0)):
                if node in nodes:
                    right[nodes[node], layout.states[core.name] + 1] -= sign
        for source in self.sources:  # v_a - v_b + R i = e, i delivered out of a
            row = layout.branches[source.name]
            across(row, source.a, source.b)
            matrix[row, row] += source.resistance
            leave(source.a, row, -1.0)
            leave(source.b, row, 1.0)
        for wire in self.wires:
            row = layout.branches[wire.name]
            across(row, wire.a, wire.b)
            matrix[row, row] -= wire.resistance
            leave(wire.a, row, 1.0)
            leave(wire.b, row, -1.0)
        for capacitor in self.capacitors:  # v_a - v_b - ESR i = v_C
            row = layout.branches[capacitor.name]
            across(row, capacitor.a, capacitor.b)
            matrix[row, row] -= capacitor.esr
            right[row, layout.states[capacitor.name]] = 1.0
            leave(capacitor.a, row, 1.0)
            leave(capacitor.b, row, -1.0)
        for winding in self.windings:  # unknown: current delivered out of c; the primary takes it over the ratio
            row = layout.branches[winding.name]
            across(row, winding.a, winding.b)
            across(row, winding.c, winding.d, -winding.ratio)
            leave(winding.c, row, -1.0)
            leave(winding.d, row, 1.0)
            leave(winding.a, row, 1.0 / winding.ratio)
            leave(winding.b, row, -1.0 / winding.ratio)
        for block in self.blocks:
            row = layout.branches[block.name]
            leave(block.a, row, 1.0)
            leave(block.b, row, -1.0)
        self.scale = np.ones(layout.unknowns)
        self.scale[len(nodes) :] = _ADMITTANCE

    def stretch_of(self, time: float) -> int:
        """The stretch of the schedule that holds from `time` on."""
        for k in range(1, len(self.boundaries) - 1):
            if time < self.boundaries[k] - 1e-12 * self.period:
                return k - 1
        return len(self.boundaries) - 2

    # -- one pattern ---------------------------------------------------------

    def pattern(self, key: Key) -> Pattern:
        """The pattern of `key`, built on first visit."""
        found = self.patterns.get(key)
        if found is None:
            if len(self.patterns) >= MOST_PATTERNS:
                raise NoProvableAnswer(TOO_MANY_PATTERNS.format(count=MOST_PATTERNS))
            found = self.patterns[key] = self._build(key)
        return found

    def system_without_blocks(self, stretch: int) -> tuple[Array, Array]:
        """What no block changes in a stretch of the schedule: the matrix over y, the right side over X."""
        layout, nodes = self.layout, self.layout.nodes
        matrix, right = self._matrix.copy(), self._right.copy()
        for source in self.sources:
            right[layout.branches[source.name]] = self._value(source, stretch)
        for source in self.current_sources:
            value = self._value(source, stretch)
            for node, sign in ((source.a, 1.0), (source.b, -1.0)):
                if node in nodes:
                    right[nodes[node]] += sign * value
        return matrix, right

    def _system(self, key: Key) -> tuple[Array, Array]:
        if key[0] not in self._without_blocks:
            self._without_blocks[key[0]] = self.system_without_blocks(key[0])
        matrix, right = (part.copy() for part in self._without_blocks[key[0]])
        chosen = self.block_rows.chosen(key)
        matrix[self._block_places] = self.block_rows.laws[chosen]
        right[self._block_places] = -self.block_rows.law_states[chosen]
        return matrix, right

    @cached_property
    def _rates_of_unknowns(self) -> Array:
        """Rows of z' over the unknowns; array (dynamic, unknowns)."""
        layout = self.layout
        result = np.zeros((layout.dynamic, layout.unknowns))

        def across(row: int, a: str, b: str, weight: float) -> None:
            for node, sign in ((a, 1.0), (b, -1.0)):
                if node in layout.nodes:
                    result[row, layout.nodes[node]] += sign * weight

        for capacitor in self.capacitors:
            result[layout.states[capacitor.name], layout.branches[capacitor.name]] = 1.0 / capacitor.capacitance
        for inductor in self.inductors:
            across(layout.states[inductor.name], inductor.a, inductor.b, 1.0 / inductor.inductance)
        cores: list[Block | StiffCore] = [*(b for b in self.blocks if b.has_flux), *self.cores]
        for part in cores:
            across(layout.states[part.name], part.a, part.b, 1.0)
        return result

    @cached_property
    def _entries(self) -> Entries:
        """Where the matrix has entries, in whatever pattern."""
        present = self._matrix != 0.0
        for stretch in range(len(self.boundaries) - 1):
            for number, block in enumerate(self.blocks):
                start = self.block_rows.chosen((stretch, *([0] * len(self.blocks))))[number]
                laws = self.block_rows.laws[start : start + len(block.at(stretch))]
                present[self._block_places[number]] |= (laws != 0.0).any(axis=0)
        return Entries.of(present)

    def rates(self, outputs: Array, *, of_state: bool) -> Array:
        """Rows of z' from the unknowns; `of_state` adds what z itself contributes (not for null vectors)."""
        result: Array = self._rates_of_unknowns @ outputs
        if of_state:
            for inductor in self.inductors:
                place = self.layout.states[inductor.name]
                result[place, place] -= inductor.resistance / inductor.inductance
        return result

    @cached_property
    def forcing_rates(self) -> Array:
        """How the forcing part of X changes by itself; array (states, states)."""
        layout = self.layout
        motion = np.zeros((layout.size, layout.size))
        for k, order in enumerate(layout.orders):
            place = layout.dynamic + 2 * k
            motion[place, place + 1] = -order * self.angular_frequency
            motion[place + 1, place] = order * self.angular_frequency
        if layout.ramp is not None:
            motion[layout.ramp, layout.one] = 1.0
        return motion

    def _speed(self, motion: Array) -> float:
        """Fastest rate in a motion, dynamic states weighed by the energy that they hold. [1/s]"""
        count = len(self.energy)
        weighed = self.energy[:, None] * motion[:count, :count] / self.energy
        fastest = float(np.abs(weighed).sum(axis=1).max(initial=0.0))
        return max(fastest, self.angular_frequency * max(self.layout.orders, default=0), 1.0 / self.period)

    def _build(self, key: Key) -> Pattern:
        layout = self.layout
        matrix, right = self._system(key)
        outputs, response, null, hidden = self._unknowns(matrix, right)
        motion = self.forcing_rates.copy()
        motion[: layout.dynamic] = self.rates(outputs, of_state=True)
        choice = _Choice.none(layout.size)
        if null.shape[1]:
            steer = self.rates(null, of_state=False)
            choice = self._choose_free(key, outputs, null, steer, motion, hidden)
            motion[: layout.dynamic] += steer @ choice.follow
            outputs = outputs + null @ choice.follow
            if choice.constrained and not choice.contradictory:
                # Large terms have just cancelled: what rounding left of them would drift away from the constraint.
                left = reduce(choice.constraints[:, : layout.dynamic] @ steer, -(choice.constraints @ motion)).basic
                motion[: layout.dynamic] += steer @ left
                outputs = outputs + null @ left
        guards = self._guards(key, outputs, null @ choice.jump, choice.entry)
        ladder = expand(motion, self.cell, self._speed(motion))
        if choice.constrained and not choice.contradictory and np.isfinite(ladder).all():
            ladder = choice.entry @ ladder  # or the rounding of fast motions would add up and leave the constraints
        # A circuit that runs away (a falling load current behind a choke) can't be followed: nor can it hold.
        runs_away = not np.isfinite(ladder).all()
        watched = np.empty((3, *guards.rows.shape))
        watched[0] = guards.rows
        noise = np.empty(watched.shape)
        if choice.constrained:
            noise[0] = _ELIMINATION * self._largest_terms(outputs, right, guards.of_current, guards.steepness)
        else:
            # What rounding does to an equation arrives at a guard through the circuit's own response to it.
            terms = np.abs(matrix) @ np.abs(outputs) + np.abs(right)
            noise[0] = _REFINED * np.abs(guards.unknowns @ response) @ terms
            noise[0] += _COEFFICIENT * np.abs(guards.unknowns) @ np.abs(outputs)
        speeds = np.abs(motion)
        for order in (1, 2):
            watched[order], noise[order] = watched[order - 1] @ motion, noise[order - 1] @ speeds
        rings = self.rings and layout.ramp is None and not runs_away
        return Pattern(
            key=key,
            motion=motion,
            outputs=outputs,
            watched=watched,
            impulses=guards.impulses,
            noise=noise,
            owners=guards.owners,
            targets=guards.targets,
            idle=guards.idle,
            entry=choice.entry,
            constrained=choice.constrained,
            contradictory=choice.contradictory or runs_away,
            ladder=ladder,
            modes=Modes(motion, guards.rows, rings),
        )

    def _unknowns(self, matrix: Array, right: Array) -> tuple[Array, Array, Array, Array]:
        """The unknowns over X, their response to each equation, the directions left free, and the hidden constraints.

        One refinement in the longest floats there are: a megohm beside a milliohm costs eight digits.
        """
        layout, scale = self.layout, self.scale[:, None]
        scaled = matrix * self.scale
        inverted = inverse(scaled)
        if inverted is not None:
            response, outputs = scale * inverted, scale * (inverted @ right)
            null, hidden = np.zeros((layout.unknowns, 0)), np.zeros((0, layout.size))
        else:
            reduction = reduce(scaled, np.hstack([right, np.eye(layout.unknowns)]))
            outputs, response = scale * reduction.basic[:, : layout.size], scale * reduction.basic[:, layout.size :]
            null, hidden = scale * reduction.null, reduction.constraints[:, : layout.size]
        left = self._entries.residual(matrix, outputs, right) if layout.unknowns else right
        return outputs + response @ left, response, null, hidden

    def _largest_terms(self, outputs: Array, right: Array, currents: Flags, steepness: Array) -> Array:
        """For each guard and state the largest coefficient among all unknowns of its kind, EMFs with the voltages."""
        count = len(self.layout.nodes)
        of_voltages = np.abs(np.vstack([outputs[:count], right[count:]])).max(axis=0, initial=0.0)
        of_currents = np.abs(outputs[count:]).max(axis=0, initial=0.0)
        # A voltage at its threshold, give or take rounding, is a current at zero give or take that over the resistance.
        through = steepness[:, None] * of_voltages
        result: Array = np.where(currents[:, None], np.maximum(of_currents, through), of_voltages)
        return result

    def _choose_free(
        self, key: Key, outputs: Array, null: Array, steer: Array, motion: Array, hidden: Array
    ) -> _Choice:
        """What the unknowns that Kirchhoff leaves free have to do.

        First they keep the hidden constraints (capacitors in a loop, chokes in a cutset); in the directions left
        over, blocks that are off share their voltage as if they leaked alike, which settles floating nodes.
        """
        layout = self.layout
        weight = np.abs(hidden).max(axis=1, initial=0.0)
        constraints = hidden[weight > _NEGLIGIBLE]
        largest = np.abs(constraints).max(axis=1, keepdims=True, initial=0.0)
        constraints = np.where(np.abs(constraints) < _NEGLIGIBLE * largest, 0.0, constraints)
        hold = constraints[:, : layout.dynamic] @ steer
        drift = constraints @ motion
        held = reduce(hold, -np.hstack([drift, constraints]))
        choice = held.basic
        contradictory = False
        for goal, got in ((drift, hold @ choice[:, : layout.size]), (constraints, hold @ choice[:, layout.size :])):
            # What stays unmet binds the source alone: no current can help, so this pattern can't be.
            unmet = np.abs(goal + got).max(initial=0.0)
            size = max(np.abs(goal).max(initial=0.0), np.abs(got).max(initial=0.0), 1e-300)
            contradictory = contradictory or bool(unmet > _CONTRADICTION * size)
        share_state, share_null = self._shared_voltages(key, outputs, null)
        if held.null.shape[1] and len(share_state):
            spread = share_null @ held.null
            target = -(np.hstack([share_state, np.zeros_like(share_state)]) + share_null @ choice)
            shift, *_ = np.linalg.lstsq(spread, target, rcond=1e-10)
            choice = choice + held.null @ shift
        follow, jump = choice[:, : layout.size], choice[:, layout.size :]
        entry = np.eye(layout.size)
        if len(constraints):
            entry[: layout.dynamic] += steer @ jump
        return _Choice(
            follow=follow,
            jump=jump,
            constraints=constraints,
            entry=entry,
            constrained=len(constraints) > 0,
            contradictory=contradictory,
        )

    def _shared_voltages(self, key: Key, outputs: Array, null: Array) -> tuple[Array, Array]:
        """Voltages across all blocks that are off, over the state and over the free directions."""
        layout = self.layout
        state_rows, null_rows = [], []
        blocking = self.block_rows.blocking[self.block_rows.chosen(key)]
        for block, blocks in zip(self.blocks, blocking, strict=True):
            if not blocks:
                continue
            state_row, null_row = np.zeros(layout.size), np.zeros(null.shape[1])
            for node, sign in ((block.a, 1.0), (block.b, -1.0)):
                if node in layout.nodes:
                    state_row += sign * outputs[layout.nodes[node]]
                    null_row += sign * null[layout.nodes[node]]
            state_rows.append(state_row)
            null_rows.append(null_row)
        count = len(state_rows)
        return np.array(state_rows).reshape(count, layout.size), np.array(null_rows).reshape(count, null.shape[1])

    def _guards(self, key: Key, outputs: Array, kick: Array, entry: Array) -> _Guards:
        """Guard rows of a pattern and their impulses, whose block each is, where it leads, what it watches."""
        blocks = self.block_rows
        reached = np.abs(outputs @ entry)  # what the unknowns are for states that this pattern allows
        loudest = reached[len(self.layout.nodes) :].max(initial=0.0)
        own = reached[self._block_places].max(axis=1, initial=0.0)
        chosen = blocks.chosen(key)
        places, owners = blocks.guards_of(chosen)
        unknowns = blocks.guards[places]
        rows = unknowns @ outputs + blocks.guard_states[places]
        idle = np.flatnonzero(blocks.of_no_current[places] & (own[owners] <= 1e-12 * loudest))
        rows[idle] = 0.0  # it can't fail, whatever rounding says
        return _Guards(
            unknowns=unknowns,
            rows=rows,
            impulses=unknowns @ kick,
            owners=owners,
            targets=blocks.targets[places],
            of_current=blocks.of_current[places],
            steepness=blocks.slopes[chosen][owners],
            idle=idle,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Guards:
    """The guards of a pattern; arrays over guards, the rows over the unknowns y or the state X.

    `steepness` is how much current a volt makes on the line of the block's state [S]; `idle` numbers the guards on a
    current that can't flow.
    """

    unknowns: Array
    rows: Array
    impulses: Array
    owners: Numbers
    targets: Numbers
    of_current: Flags
    steepness: Array
    idle: Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class _Choice:
    """What the free unknowns do: along X, and on the way in."""

    follow: Array
    jump: Array
    constraints: Array
    entry: Array
    constrained: bool
    contradictory: bool

    @staticmethod
    def none(size: int) -> _Choice:
        nothing = np.zeros((0, size))
        return _Choice(
            follow=nothing,
            jump=nothing,
            constraints=nothing,
            entry=np.eye(size),
            constrained=False,
            contradictory=False,
        )
