"""The proof of a solution: balances recomputed from the element table, not from the matrices that gave the answer."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from railwright.network.diodes import FIRST_PEAK
from railwright.network.elements import Block, Capacitor, Element, Inductor, Law, Resistor, Source, StiffCore, Winding
from railwright.network.exponential import FINER, distance, vertices
from railwright.solver.elimination import Array
from railwright.solver.failure import INFINITE_CURRENT, INFINITE_VOLTAGE, NO_BALANCE, NoProvableAnswer
from railwright.solver.layout import Layout
from railwright.solver.pattern import Pattern
from railwright.solver.solution import Solution

#: Largest value of each balance at which an answer is shown, for piecewise-linear laws.
LIMITS = {
    "power_balance": 1e-9,
    "charge_balance": 1e-9,
    "flux_balance": 1e-9,
    "periodicity": 1e-9,
    "kirchhoff": 1e-9,
    "diode_law": 1e-12,
}
#: [S] Below this share of the peak voltage no current counts as one.
NO_CONDUCTANCE = 1e-9
#: Share of what the voltages could drive through the resistances that rounding makes of a current.
_DRIVEN = 1e-6
#: What a few last digits of the capacitors' voltages are of the energy stored, over the limit of the balances.
_LAST_DIGIT = 2e-5
#: Last digits of the largest term in the sums that make a voltage: no distance of a diode from its law, and no flux.
_LAST_DIGITS = 2.0 * float(np.finfo(float).eps)
#: Limit of `diode_law` where exponential diodes are followed by many straight pieces, or by few.
PIECEWISE_LAW_LIMIT, COARSE_LAW_LIMIT = 1e-3, 2e-3
#: [S] What a load of "none" may draw, so that nothing floats.
_LIGHT_SHARE = 2e-8
_WORDS = {
    "power_balance": "power balance",
    "charge_balance": "charge balance of a capacitor",
    "flux_balance": "flux balance of a choke or core",
    "periodicity": "return to the same state after one period",
    "kirchhoff": "sum of currents at a node, or an element's own equation,",
    "diode_law": "distance of a diode from its law",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """Six figures, each relative to the largest value of its kind; all at least zero."""

    power_balance: float
    charge_balance: float
    flux_balance: float
    periodicity: float
    kirchhoff: float
    diode_law: float
    jump: str = ""  # why the balances of power, charge and flux can't hold: something jumps
    pieces: int = 0  # straight conducting pieces of each exponential diode; 0: the law itself is straight

    def to_json(self) -> dict[str, float]:
        """The six figures by name."""
        return {f.name: float(getattr(self, f.name)) for f in fields(self) if f.name not in ("jump", "pieces")}

    def require(self) -> None:
        """Refuse an answer that isn't proved.

        Raises
        ------
        NoProvableAnswer
            If any figure is over its limit, or isn't a number.
        """
        limits = dict(LIMITS)
        if self.pieces:
            limits["diode_law"] = COARSE_LAW_LIMIT if self.pieces < FINER[0] else PIECEWISE_LAW_LIMIT
        for name, limit in limits.items():
            value = getattr(self, name)
            if not value <= limit and self.jump and name in ("power_balance", "charge_balance", "flux_balance"):
                raise NoProvableAnswer(self.jump)
            if not value <= limit:
                raise NoProvableAnswer(NO_BALANCE.format(balance=_WORDS[name], value=value, limit=limit))


def prove(solution: Solution) -> Proof:
    """Work out the six figures of a solution."""
    return _Prover(solution).proof()


class _Prover:
    """Reads voltages and currents of every element and holds them against the elements' own equations."""

    def __init__(self, solution: Solution) -> None:
        self.solution = solution
        self.equations = solution.equations
        self.network = self.equations.network
        self.elements = self.network.elements
        self.layout = self.equations.layout
        rows = solution.rows
        self.named = [
            e for e in self.elements if not (isinstance(e, Source) and e.is_current) and not isinstance(e, StiffCore)
        ]
        self.voltage_rows = [rows.voltage(*self._ends(e)) for e in self.named]
        self.current_rows = [rows.current(e.name) for e in self.named]
        self.numbers = {block.name: k for k, block in enumerate(self.equations.blocks)}
        held = [rows.state(c.name) for c in self.equations.capacitors]
        cores = [rows.voltage(core.a, core.b) for core in self.equations.cores]
        count = len(self.named)
        # All at once: what a measure costs lies in the stretches, not in the rows.
        measured = solution.measures([*self.voltage_rows, *self.current_rows, *held, *cores], harmonics=False)
        self.means = measured.mean
        self.volts, self.amperes = slice(0, count), slice(count, 2 * count)
        self.held, self.cores = 2 * count, 2 * count + len(held)
        self.rms = measured.rms
        self.maximum = measured.maximum
        self.largest = np.maximum(np.abs(measured.maximum), np.abs(measured.minimum))

    @staticmethod
    def _ends(element: Element) -> tuple[str, str]:
        if isinstance(element, Winding):
            return element.c, element.d
        return element.a, element.b

    def proof(self) -> Proof:
        """All six."""
        solution = self.solution
        self.peak_voltage = float(max(self.largest[self.volts].max(), 1e-300))
        currents = self.largest[self.amperes]
        # Currents that are mere rounding of the voltages over the resistances don't count as a scale.
        self.driven = self._driven()
        self.voltage_rounding = _LAST_DIGITS * max(moments.largest_voltage_term for moments in self._moments)
        self.peak_current = float(max(currents.max(), NO_CONDUCTANCE * self.peak_voltage, _DRIVEN * self.driven))
        power = charge = flux = stored = 0.0
        largest_charge = self.peak_current * solution.period / (2.0 * math.pi)
        largest_flux = 0.0
        largest_power = NO_CONDUCTANCE * self.peak_voltage**2
        balance = 0.0
        powers = self._powers()
        mean_volts, mean_amperes, rms_amperes = self.means[self.volts], self.means[self.amperes], self.rms[self.amperes]
        for k, element in enumerate(self.named):
            mean_v, mean_i, rms_i = mean_volts[k], mean_amperes[k], rms_amperes[k]
            reach = self.largest[k] * currents[k]
            if isinstance(element, Source):
                balance += powers[k]
                largest_power = max(largest_power, reach)
            elif isinstance(element, Resistor):
                balance -= element.resistance * rms_i**2
            elif isinstance(element, Capacitor):
                balance -= element.esr * rms_i**2
                held = self.largest[self.held + self.equations.capacitors.index(element)]
                charge = max(charge, abs(mean_i) * solution.period)
                largest_charge = max(largest_charge, element.capacitance * held)
                stored += 0.5 * element.capacitance * held**2
            elif isinstance(element, Inductor):
                balance -= element.resistance * rms_i**2
                size = element.inductance * currents[k]
                loss = element.resistance * mean_i
                size = max(size, self.peak_voltage * solution.period * 1e-3)
                unbalanced = max(abs(mean_v - loss) - self.voltage_rounding, 0.0) * solution.period
                flux, largest_flux = max(flux, unbalanced), max(largest_flux, size)
            elif isinstance(element, Block):
                balance -= powers[k]
                largest_power = max(largest_power, reach)
        for source in self.equations.current_sources:
            balance += self._given_power(source)
        for k in range(self.cores, self.cores + len(self.equations.cores)):
            size = self.largest[k] * solution.period / (2.0 * math.pi)
            flux, largest_flux = max(flux, abs(self.means[k]) * solution.period), max(largest_flux, size)
        largest_power = max(largest_power, _DRIVEN * self.peak_voltage * self.driven)
        # The last digit of a very large capacitor's voltage is a power of its own.
        largest_power = max(largest_power, _LAST_DIGIT * stored / solution.period)
        power = abs(balance) / largest_power if abs(balance) > 1e-300 else 0.0
        return Proof(
            power_balance=power,
            charge_balance=_share(charge, largest_charge),
            flux_balance=_share(flux, largest_flux),
            periodicity=self._periodicity(),
            kirchhoff=self._kirchhoff(),
            diode_law=self._exponential_law() if self.network.laws else self._diode_law(),
            jump=self._jump(),
            pieces=self.network.tuning.slopes if self.network.laws else 0,
        )

    def _powers(self) -> dict[int, float]:
        """Mean power of each source and block, by its number among the named elements. [W]"""
        chosen = [k for k, element in enumerate(self.named) if isinstance(element, Source | Block)]
        voltages, currents = [self.voltage_rows[k] for k in chosen], [self.current_rows[k] for k in chosen]
        return dict(zip(chosen, map(float, self.solution.product_means(voltages, currents)), strict=True))

    def _given_power(self, source: Source) -> float:
        """Mean power delivered by a given current, stretch by stretch."""
        raise NotImplementedError(source.name)

    def _jump(self) -> str:
        """What jumps in this solution, as a sentence; nothing, if nothing does."""
        run = self.solution.steady.run
        if not run.jumps:
            return ""
        time, place = run.jumps[0]
        angle = 360.0 * time / self.solution.period * self.network.mains_periods % 360.0
        name = next((name for name, held in self.layout.states.items() if held == place), "")
        voltage = any(name == capacitor.name for capacitor in self.equations.capacitors)
        return (INFINITE_CURRENT if voltage else INFINITE_VOLTAGE).format(angle=angle, part=name)

    def _periodicity(self) -> float:
        """Change of the state over the period; a stiff core's flux is free, its change is the flux balance."""
        count = self.layout.dynamic
        run, start = self.solution.steady.run, self.solution.steady.start
        change = np.abs(run.end[:count] - start)
        size = np.zeros(count)
        for stretch in self.solution.stretches:
            size = np.maximum(size, np.abs(stretch.states[:, :count]).max(axis=0))
        worst = 0.0
        for name, place in self.layout.states.items():
            if any(core.name == name for core in self.equations.cores):
                continue
            element = next(e for e in self.named if e.name == name)
            unit = 1e-6 * self.peak_voltage
            if not isinstance(element, Capacitor):
                unit = max(_DRIVEN * self.driven, NO_CONDUCTANCE * self.peak_voltage)
            worst = max(worst, _share(float(change[place]), max(float(size[place]), unit)))
        return worst

    @cached_property
    def _moments(self) -> list[_Moments]:
        """The ends and the middle of each stretch of time, together by stretch of the schedule."""
        found: dict[int, dict[int, tuple[Pattern, list[Array]]]] = {}
        for s in self.solution.stretches:
            patterns = found.setdefault(s.pattern.key[0], {})
            _, states = patterns.setdefault(id(s.pattern), (s.pattern, []))
            states += [s.states[0], s.states[len(s.states) // 2], s.states[-1]]
        return [_Moments.of(stretch, list(p.values()), self.layout) for stretch, p in found.items()]

    def _kirchhoff(self) -> float:
        """Currents at every node and every element's own equation, at the ends and in the middle of each stretch."""
        worst = 0.0
        for moments in self._moments:
            sums: dict[str, Array] = {}

            def leave(node: str, current: Array, sums: dict[str, Array] = sums) -> None:
                sums[node] = sums.get(node, 0.0) + current

            for element in self.elements:
                amount = self._current(element, moments)
                gap = self._law_gap(element, amount, moments)
                worst = max(worst, gap)
                if isinstance(element, Source):
                    leave(element.a, -amount)
                    leave(element.b, amount)
                elif isinstance(element, Winding):
                    leave(element.c, -amount)
                    leave(element.d, amount)
                    leave(element.a, amount / element.ratio)
                    leave(element.b, -amount / element.ratio)
                else:
                    leave(element.a, amount)
                    leave(element.b, -amount)
            for node, total in sums.items():
                if node != self.network.ground:
                    worst = max(worst, _largest(total) / self.peak_current)
        return worst

    def _driven(self) -> float:
        """The largest current that the voltages and EMFs could drive through the resistances. [A]"""
        driven = 0.0
        for moments in self._moments:
            driven = max(driven, moments.largest_current_term)
            for element in self.elements:
                if isinstance(element, Resistor) and element.resistance > 0.0:
                    size = _largest(np.abs(moments.at(element.a)) + np.abs(moments.at(element.b)))
                    driven = max(driven, size / element.resistance)
                elif isinstance(element, Source) and element.resistance > 0.0:
                    driven = max(driven, _largest(self._emf(element, moments)) / element.resistance)
        return driven

    def _current(self, element: Element, moments: _Moments) -> Array:
        name = element.name
        if name in self.layout.branches:
            return moments.unknowns[:, self.layout.branches[name]]
        if isinstance(element, Resistor):
            return moments.across(element.a, element.b) / element.resistance
        if isinstance(element, StiffCore):
            return moments.states[:, self.layout.states[name] + 1]
        if isinstance(element, Inductor):
            return moments.states[:, self.layout.states[name]]
        raise NotImplementedError(name)

    def _emf(self, source: Source, moments: _Moments) -> Array:
        states = moments.states
        value: Array = np.full(len(states), source.constant)
        for k, order in enumerate(self.layout.orders):
            place = self.layout.dynamic + 2 * k
            value += source.cosine.get(order, 0.0) * states[:, place]
            value += source.sine.get(order, 0.0) * states[:, place + 1]
        if source.pieces:
            piece = source.pieces[moments.stretch]
            value += piece.level
            if self.layout.ramp is not None:
                value += piece.slope * states[:, self.layout.ramp]
        return value

    def _law_gap(self, element: object, amount: Array, moments: _Moments) -> float:
        """How far an element's own equation, or a guard of its state, is from holding."""
        across = moments.across
        if isinstance(element, Source) and not element.is_current:
            gap = across(element.a, element.b) + element.resistance * amount - self._emf(element, moments)
            return _largest(gap) / self.peak_voltage
        if isinstance(element, Capacitor):
            held = moments.states[:, self.layout.states[element.name]]
            return _largest(across(element.a, element.b) - element.esr * amount - held) / self.peak_voltage
        if isinstance(element, Winding):
            gap = across(element.a, element.b) - element.ratio * across(element.c, element.d)
            return _largest(gap) / (self.peak_voltage * max(1.0, element.ratio))
        if isinstance(element, Resistor):
            return _largest(across(element.a, element.b) - element.resistance * amount) / self.peak_voltage
        if isinstance(element, Block):
            return max(
                self._block_gap(element, state, amount[chosen], moments.only(chosen))
                for state, chosen in moments.by_state(self.numbers[element.name])
            )
        return 0.0

    def _block_gap(self, block: Block, state: int, amount: Array, moments: _Moments) -> float:
        """The same of a block while it is in one state."""
        chosen = block.at(moments.stretch)[state]
        worst = _largest(self._law(chosen.law, block, amount, moments))
        for guard in chosen.guards:
            below = float((-self._law(guard.law, block, amount, moments)).max())
            if guard.law.current and not guard.law.across and chosen.law.across:
                # A current below zero on a steep line: seen along the line, as a voltage, it may be nothing.
                steepness = abs(chosen.law.current / chosen.law.across)
                below = min(below, below * self.peak_current * steepness / self.peak_voltage)
            worst = max(worst, below)
        return worst

    def _law(self, law: Law, block: Block, amount: Array, moments: _Moments) -> Array:
        """A block's linear form, relative to the largest of its kind."""
        value = law.across * moments.across(block.a, block.b) + law.current * amount + law.constant
        if law.output:
            value = value + law.output * (moments.at(block.b) - moments.at(block.reference))
        if law.flux:
            value = value + law.flux * moments.states[:, self.layout.states[block.name]]
        size = max(
            abs(law.across) * self.peak_voltage,
            abs(law.output) * self.peak_voltage,
            abs(law.current) * self.peak_current,
            abs(law.constant),
            1e-300,
        )
        if law.flux:
            # A core's limit is a flux: its scale is that limit itself.
            size = max(size, abs(law.flux) * self.peak_voltage * self.solution.period / (2.0 * math.pi))
        result: Array = value / size
        return result

    def _exponential_law(self) -> float:
        """Largest distance of the straight pieces from each diode's own exponential law, over the range in use."""
        emf = max(self.network.emf.values(), default=0.0) * math.sqrt(2.0) or self.peak_voltage
        peaks = self.network.tuning.diode_peaks
        worst = 0.0
        names = [e.name for e in self.named]
        measured = {name: float(self.maximum[self.amperes][names.index(name)]) for name in self.network.laws}
        largest = max(measured.values(), default=0.0)
        for name, peak in measured.items():
            if peak <= max(1e-6 * largest, _LIGHT_SHARE * self.peak_voltage):
                continue  # carries next to nothing: its curve isn't used
            law = self.network.laws[name]
            points = vertices(law, peaks.get(name, FIRST_PEAK), self.network.tuning.slopes)
            worst = max(worst, distance(law, points, peak, emf))
        return worst

    def _diode_law(self) -> float:
        """Largest distance of a diode's (v, i) from its curve: from its own vertices, not from the chosen state."""
        worst = 0.0
        for moments in self._moments:
            for block in self.equations.blocks:
                if block.reference is not None or block.has_flux:
                    continue
                amount = moments.unknowns[:, self.layout.branches[block.name]]
                across = moments.across(block.a, block.b)
                worst = max(worst, _largest(self._distance(block, moments.stretch, across, amount)))
        return worst

    def _distance(self, block: Block, stretch: int, voltage: Array, amount: Array) -> Array:
        """Distance of (voltage, amount) from the curve: to its nearest piece, or beyond that piece's end."""
        best = np.full(len(voltage), math.inf)
        for state in block.at(stretch):
            beyond = np.zeros(len(voltage))
            for guard in state.guards:
                law = guard.law
                short = -(law.across * voltage + law.current * amount + law.constant)
                beyond = np.maximum(beyond, self._shortfall(law, state.law, short))
            law = state.law
            miss = np.abs(law.across * voltage + law.current * amount + law.constant)
            nearest = np.full(len(voltage), math.inf)
            if law.across:
                apart = np.maximum(miss / abs(law.across) - self.voltage_rounding, 0.0)
                nearest = apart / self.peak_voltage
            if law.current:
                nearest = np.minimum(nearest, miss / abs(law.current * self.peak_current))
            best = np.minimum(best, np.maximum(beyond, nearest))
        return best

    def _shortfall(self, guard: Law, along: Law, short: Array) -> Array:
        """How far a guard fails, relative; a current below zero on a steep line may be nothing, seen as a voltage."""
        short = np.maximum(short, 0.0)
        if not guard.current:
            if not guard.across:
                return short
            apart: Array = np.maximum(short / abs(guard.across) - self.voltage_rounding, 0.0)
            return apart / self.peak_voltage
        relative = short / (abs(guard.current) * self.peak_current)
        if along.across:
            seen = np.maximum(short * abs(along.current / along.across) - self.voltage_rounding, 0.0)
            relative = np.minimum(relative, seen / self.peak_voltage)
        return relative


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moments:
    """Instants of one stretch of the schedule.

    states, unknowns : array (moments, states), (moments, unknowns)
    keys : array (moments, blocks)
        The state of each block.
    largest_voltage_term, largest_current_term : float
        Of the sums that make the node voltages and the branch currents. [V], [A]
    """

    stretch: int
    states: Array
    unknowns: Array
    keys: NDArray[np.int64]
    largest_voltage_term: float
    largest_current_term: float
    nodes: dict[str, int]

    @staticmethod
    def of(stretch: int, parts: list[tuple[Pattern, list[Array]]], layout: Layout) -> _Moments:
        """The instants that these patterns and states make up."""
        states = [np.array(own) for _, own in parts]
        outputs = [pattern.outputs for pattern, _ in parts]
        sizes = [np.abs(y) @ np.abs(x.T) for y, x in zip(outputs, states, strict=True)]
        nodes = len(layout.nodes)
        return _Moments(
            stretch=stretch,
            states=np.concatenate(states),
            unknowns=np.concatenate([x @ y.T for y, x in zip(outputs, states, strict=True)]),
            keys=np.repeat(np.array([pattern.key[1:] for pattern, _ in parts]), [len(x) for x in states], axis=0),
            largest_voltage_term=max(float(size[:nodes].max(initial=0.0)) for size in sizes),
            largest_current_term=max(float(size[nodes:].max(initial=0.0)) for size in sizes),
            nodes=layout.nodes,
        )

    def by_state(self, number: int) -> list[tuple[int, NDArray[np.bool_]]]:
        """The states of a block that occur, each with the instants at which it does."""
        own = self.keys[:, number]
        return [(int(state), own == state) for state in np.unique(own)]

    def only(self, chosen: NDArray[np.bool_]) -> _Moments:
        """Some of the instants."""
        return replace(self, states=self.states[chosen], unknowns=self.unknowns[chosen], keys=self.keys[chosen])

    def at(self, node: str | None) -> Array:
        """A node's voltage; zero for the ground. [V]"""
        row = self.nodes.get(node) if node is not None else None
        return self.unknowns[:, row] if row is not None else np.zeros(len(self.states))

    def across(self, a: str, b: str) -> Array:
        """The voltage from node `a` to node `b`. [V]"""
        result: Array = self.at(a) - self.at(b)
        return result


def _largest(values: Array) -> float:
    return float(np.abs(values).max(initial=0.0))


def _share(amount: float, of: float) -> float:
    return amount / of if of > 0.0 else (0.0 if amount == 0.0 else amount / 1e-300)
