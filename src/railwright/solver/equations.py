"""From a network to its equations: one linear system for each conduction pattern.

The state X holds the capacitor voltages, choke currents, fluxes and constant core currents (its dynamic part z),
then cos and sin of each order that a source uses, the time since the period began if a source has pieces, and 1.
The unknowns y hold all node voltages and all branch currents. A pattern is the stretch of the schedule
and the state of every block; within it y = Y X and X' = M X hold exactly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from railwright.network.elements import (
    Block,
    Capacitor,
    Inductor,
    Law,
    Resistor,
    Source,
    StiffCore,
    Winding,
)
from railwright.network.network import Network
from railwright.solver.elimination import Array, reduce, solve

#: [S] Scale between volts and amperes in the elimination, so that weak leaks aren't taken for nothing.
_ADMITTANCE = 1e-3
#: Share below which a constraint's coefficient is rounding.
_NEGLIGIBLE = 1e-10
#: Share of a constraint that may stay unmet before the pattern counts as contradictory (binds the source alone).
_CONTRADICTION = 1e-8

Key = tuple[int, ...]  # stretch of the schedule, then the state of each block


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """One conduction pattern, ready to be followed in time.

    motion : array (states, states)
        M of X' = M X.
    outputs : array (unknowns, states)
        Y of y = Y X.
    guards, guard_rates, guard_curvatures : array (guards, states)
        Rows that must stay at or above zero, and their first two time derivatives.
    owners, targets : array (guards,)
        The block that each guard belongs to and the state that it leads to.
    entry : array (states, states)
        The jump that conserves charge and flux on the way in; the identity where nothing is constrained.
    ladder : array (levels, states, states)
        Exponentials of motion * (cell / 2**level).
    """

    key: Key
    motion: Array
    outputs: Array
    guards: Array
    guard_rates: Array
    guard_curvatures: Array
    owners: np.ndarray
    targets: np.ndarray
    idle: np.ndarray  # guards on a current that is zero in this pattern, whatever the state
    entry: Array
    constrained: bool
    contradictory: bool
    ladder: Array


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything stands in X and y."""

    nodes: dict[str, int]  # node -> row of y; the ground is absent
    branches: dict[str, int]  # element -> row of y holding its current
    states: dict[str, int]  # element -> place in X (capacitor voltage, choke current, block flux, core flux)
    dynamic: int  # length of z
    orders: tuple[int, ...]
    ramp: int | None
    size: int  # length of X
    unknowns: int

    @property
    def one(self) -> int:
        """Place of the constant 1 in X."""
        return self.size - 1


#: Terms of the exponential's series on the finest level, where |matrix| * step is at most a half.
SERIES_TERMS = 14


def expand(matrix: Array, level_zero: float, speed: float) -> Array:
    """The dyadic ladder: exponentials of matrix * level_zero / 2**k for k = 0 … K, `speed` / 2**K at most a half."""
    reach = speed * level_zero
    levels = max(2, math.ceil(math.log2(reach / 0.5))) if reach > 0.5 else 2
    small = matrix * (level_zero / 2**levels)
    identity = np.eye(len(matrix))
    result = identity.copy()
    for order in range(SERIES_TERMS, 0, -1):
        result = identity + small @ result / order
    ladder = np.empty((levels + 1, *matrix.shape))
    ladder[levels] = result
    for level in range(levels - 1, -1, -1):
        ladder[level] = ladder[level + 1] @ ladder[level + 1]
    return ladder


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
        elements = self.network.elements
        self.resistors = [e for e in elements if isinstance(e, Resistor) and e.resistance > 0.0]
        self.wires = [e for e in elements if isinstance(e, Resistor) and e.resistance == 0.0]
        self.capacitors = [e for e in elements if isinstance(e, Capacitor)]
        self.inductors = [e for e in elements if isinstance(e, Inductor)]
        self.sources = [e for e in elements if isinstance(e, Source) and not e.is_current]
        self.current_sources = [e for e in elements if isinstance(e, Source) and e.is_current]
        self.windings = [e for e in elements if isinstance(e, Winding)]
        self.cores = [e for e in elements if isinstance(e, StiffCore)]
        self.blocks = [e for e in elements if isinstance(e, Block)]
        self.period = self.network.period
        self.angular_frequency = 2.0 * math.pi * (self.network.frequency or 0.0)
        self.cell = self.period / self.network.mains_periods / self.cells
        self.boundaries = (0.0, *self.network.breakpoints, self.period)
        self.layout = self._lay_out()
        self.energy = np.array(
            [math.sqrt(c.capacitance) for c in self.capacitors]
            + [math.sqrt(i.inductance) for i in self.inductors]
            + [_flux_weight(b) for b in self.blocks if b.has_flux]
        )
        self._common()

    # -- layout ---------------------------------------------------------------------------------------------------

    def _lay_out(self) -> Layout:
        nodes: dict[str, int] = {}
        for element in self.network.elements:
            for attribute in ("a", "b", "c", "d", "reference"):
                node = getattr(element, attribute, None)
                if node is not None and node != self.network.ground and node not in nodes:
                    nodes[node] = len(nodes)
        row = len(nodes)
        branches: dict[str, int] = {}
        for element in (*self.sources, *self.wires, *self.capacitors, *self.windings, *self.blocks):
            branches[element.name] = row
            row += 1
        states: dict[str, int] = {}
        place = 0
        for element in (*self.capacitors, *self.inductors, *(b for b in self.blocks if b.has_flux)):
            states[element.name] = place
            place += 1
        for core in self.cores:
            states[core.name] = place  # flux, then the constant current
            place += 2
        dynamic = place
        sources = [*self.sources, *self.current_sources]
        orders = tuple(sorted({n for s in sources for n in (*s.cosine, *s.sine)}))
        place += 2 * len(orders)
        ramp = None
        if any(piece.slope != 0.0 for s in sources for piece in s.pieces):
            ramp = place
            place += 1
        return Layout(
            nodes=nodes,
            branches=branches,
            states=states,
            dynamic=dynamic,
            orders=orders,
            ramp=ramp,
            size=place + 1,
            unknowns=row,
        )

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

    # -- the part that no pattern changes ---------------------------------------------------------------------------

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
        self._scale = np.ones(layout.unknowns)
        self._scale[len(nodes) :] = _ADMITTANCE

    def stretch_of(self, time: float) -> int:
        """The stretch of the schedule that holds from `time` on."""
        for k in range(1, len(self.boundaries) - 1):
            if time < self.boundaries[k] - 1e-12 * self.period:
                return k - 1
        return len(self.boundaries) - 2

    def law_row(self, block: Block, law: Law, outputs: Array) -> Array:
        """A block's law as a row over X, given y = outputs X."""
        layout = self.layout
        zero = np.zeros(layout.size)

        def node(name: str | None) -> Array:
            return outputs[layout.nodes[name]] if name in layout.nodes else zero

        row = law.across * (node(block.a) - node(block.b)) + law.current * outputs[layout.branches[block.name]]
        if law.output:
            row = row + law.output * (node(block.b) - node(block.reference))
        if law.flux:
            row[layout.states[block.name]] += law.flux
        row[layout.one] += law.constant
        return row

    # -- one pattern ------------------------------------------------------------------------------------------------

    def pattern(self, key: Key) -> Pattern:
        """The pattern of `key`, built on first visit."""
        found = self.patterns.get(key)
        if found is None:
            found = self.patterns[key] = self._build(key)
        return found

    def _system(self, key: Key) -> tuple[Array, Array]:
        layout, nodes = self.layout, self.layout.nodes
        matrix, right = self._matrix.copy(), self._right.copy()
        for source in self.sources:
            right[layout.branches[source.name]] = self._value(source, key[0])
        for source in self.current_sources:
            value = self._value(source, key[0])
            for node, sign in ((source.a, 1.0), (source.b, -1.0)):
                if node in nodes:
                    right[nodes[node]] += sign * value
        for block, state in zip(self.blocks, key[1:], strict=True):
            law = block.at(key[0])[state].law
            row = layout.branches[block.name]
            for node, weight in (
                (block.a, law.across),
                (block.b, law.output - law.across),
                (block.reference, -law.output),
            ):
                if node in nodes:
                    matrix[row, nodes[node]] += weight
            matrix[row, row] += law.current
            if law.flux:
                right[row, layout.states[block.name]] -= law.flux
            right[row, layout.one] -= law.constant
        return matrix, right

    def rates(self, outputs: Array, *, of_state: bool) -> Array:
        """Rows of z' from the unknowns; `of_state` adds what z itself contributes (not for null vectors)."""
        layout = self.layout
        result = np.zeros((layout.dynamic, outputs.shape[1]))

        def across(a: str, b: str) -> Array:
            difference = np.zeros(outputs.shape[1])
            if a in layout.nodes:
                difference += outputs[layout.nodes[a]]
            if b in layout.nodes:
                difference -= outputs[layout.nodes[b]]
            return difference

        for capacitor in self.capacitors:
            result[layout.states[capacitor.name]] = outputs[layout.branches[capacitor.name]] / capacitor.capacitance
        for inductor in self.inductors:
            place = layout.states[inductor.name]
            result[place] = across(inductor.a, inductor.b) / inductor.inductance
            if of_state:
                result[place, place] -= inductor.resistance / inductor.inductance
        for part in (*(b for b in self.blocks if b.has_flux), *self.cores):
            result[layout.states[part.name]] = across(part.a, part.b)
        return result

    def _forcing_rates(self) -> Array:
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
        dynamic = layout.dynamic
        matrix, right = self._system(key)
        reduction = solve(matrix * self._scale, right)
        outputs = self._scale[:, None] * reduction.basic
        null = self._scale[:, None] * reduction.null
        free = null.shape[1]
        motion = self._forcing_rates()
        motion[:dynamic] = self.rates(outputs, of_state=True)
        entry = np.eye(layout.size)
        contradictory = constrained = False
        if free:
            steer = self.rates(null, of_state=False)  # (dynamic, free)
            constraints = reduction.constraints
            weight = np.abs(constraints).max(axis=1, initial=0.0)
            constraints = constraints[weight > _NEGLIGIBLE]
            constraints = np.where(
                np.abs(constraints) < _NEGLIGIBLE * np.abs(constraints).max(axis=1, keepdims=True, initial=0.0),
                0.0,
                constraints,
            )
            hold = constraints[:, :dynamic] @ steer
            blocked = [
                layout.branches[b.name] for b, s in zip(self.blocks, key[1:], strict=True) if b.at(key[0])[s].blocks
            ]
            share_state = np.zeros((len(blocked), layout.size))
            share_null = np.zeros((len(blocked), free))
            for k, row in enumerate(blocked):
                block = self.blocks[[layout.branches[b.name] for b in self.blocks].index(row)]
                for node, sign in ((block.a, 1.0), (block.b, -1.0)):
                    if node in layout.nodes:
                        share_state[k] += sign * outputs[layout.nodes[node]]
                        share_null[k] += sign * null[layout.nodes[node]]
            count = len(constraints)
            drift = constraints @ motion
            # First what keeps the constraints (second half: what restores them on the way in) …
            held = reduce(hold, -np.hstack([drift, constraints]))
            choice = held.basic
            # … then, in the directions left over, equal sharing among the blocks that are off.
            if held.null.shape[1] and len(blocked):
                spread = share_null @ held.null
                target = -(share_state + share_null @ choice[:, : layout.size])
                shift, *_ = np.linalg.lstsq(spread, target, rcond=1e-10)
                choice[:, : layout.size] += held.null @ shift
            follow, jump = choice[:, : layout.size], choice[:, layout.size :]
            if count:
                constrained = True
                for goal, got in ((drift, hold @ follow), (constraints, hold @ jump)):
                    miss = np.abs(goal + got).max(initial=0.0)
                    if miss > _CONTRADICTION * max(np.abs(goal).max(initial=0.0), np.abs(got).max(initial=0.0), 1e-300):
                        contradictory = True
                entry[:dynamic] += steer @ jump
            motion[:dynamic] += steer @ follow
            outputs = outputs + null @ follow
        guards, owners, targets, idle = [], [], [], []
        reached = outputs @ entry  # what the unknowns are for states that this pattern allows
        loudest = np.abs(reached[len(layout.nodes) :]).max(initial=0.0)
        for number, (block, state) in enumerate(zip(self.blocks, key[1:], strict=True)):
            own = np.abs(reached[layout.branches[block.name]]).max()
            for guard in block.at(key[0])[state].guards:
                if guard.law.current and guard.law.constant == 0.0 and own <= 1e-12 * loudest:
                    idle.append(len(guards))
                guards.append(self.law_row(block, guard.law, outputs))
                owners.append(number)
                targets.append(guard.target)
        rows = np.array(guards).reshape(len(guards), layout.size)
        rates = rows @ motion
        return Pattern(
            key=key,
            motion=motion,
            outputs=outputs,
            guards=rows,
            guard_rates=rates,
            guard_curvatures=rates @ motion,
            owners=np.array(owners, dtype=int),
            targets=np.array(targets, dtype=int),
            idle=np.array(idle, dtype=int),
            entry=entry,
            constrained=constrained,
            contradictory=contradictory,
            ladder=expand(motion, self.cell, self._speed(motion)),
        )
