"""Laws that hold for every supply, tried on supplies drawn at random.

Each law is physics or arithmetic (conservation, symmetry, similarity, limits); none takes a number from the program.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

import railwright
from railwright.solver import Equations, Solution, find

#: A handful of drawn supplies a law: each costs a few solves.
few = settings(
    deadline=None,
    max_examples=6,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],  # a drawn supply is small enough to read as it is
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)

EXACT = 1e-8


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A supply as numbers; `text` writes it as a sheet."""

    circuit: str = "bridge"
    voltage: float = 12.0
    frequency: float = 50.0
    source: float = 0.5
    inductance: float = 0.0
    drop: float = 0.7
    resistance: float = 0.05
    filters: tuple[tuple[str, float, float], ...] = (("capacitor", 1e-3, 0.05),)
    load: float = 100.0
    load_negative: float | None = None
    harmonics: str = ""

    def text(self) -> str:
        """The sheet."""
        parts = []
        for kind, size, loss in self.filters:
            unit = {"capacitor": "F", "choke": "H", "resistor": "ohm", "bleeder": "ohm"}[kind]
            beside = {"capacitor": "esr", "choke": "resistance"}.get(kind)
            parts.append(
                f'{{ {kind} = "{size:.18f} {unit}"' + (f', {beside} = "{loss:.15f} ohm"' if beside else "") + " }"
            )
        load = f'resistance = "{self.load:.15f} ohm"'
        if self.load_negative is not None:
            load = f'positive = {{ {load} }}, negative = {{ resistance = "{self.load_negative:.15f} ohm" }}'
        transformer = ""
        mains = f'voltage = "{self.voltage:.15f} V", source_resistance = "{self.source:.15f} ohm"'
        if self.circuit in ("centre-tap", "dual-rail"):
            mains = f'voltage = "{10 * self.voltage:.15f} V"'
            transformer = (
                'transformer = { turns_ratio = "10:1", secondary = "centre-tapped", '
                f'primary_resistance = "{50 * self.source:.15f} ohm", '
                f'secondary_resistance = "{self.source / 2:.15f} ohm" }}'
            )
        elif self.inductance:
            mains += f', source_inductance = "{self.inductance:.18f} H"'
        return f"""
            mains = {{ {mains}, frequency = "{self.frequency:.12f} Hz", source = "generator", \
harmonics = [{self.harmonics}] }}
            {transformer}
            load = {{ {load} }}
            filter = [{", ".join(parts)}]
            [rectifier]
            circuit = "{self.circuit}"
            diode = {{ drop = "{self.drop:.15f} V", resistance = "{self.resistance:.15f} ohm" }}
        """

    def scaled(self, *, ohms: float = 1.0, henries: float = 1.0, farads: float = 1.0) -> Drawn:
        """The same supply with all resistances, inductances and capacitances multiplied."""
        sizes = {"capacitor": farads, "choke": henries, "resistor": ohms, "bleeder": ohms}
        return replace(
            self,
            source=ohms * self.source,
            inductance=henries * self.inductance,
            resistance=ohms * self.resistance,
            filters=tuple((kind, sizes[kind] * size, ohms * loss) for kind, size, loss in self.filters),
            load=ohms * self.load,
            load_negative=None if self.load_negative is None else ohms * self.load_negative,
        )


def solve(drawn: Drawn, model: str = "textbook") -> Any:
    """Solve one drawn supply."""
    return railwright.solve(railwright.read_text(drawn.text()), model=model)


class Numbers(Mapping[str, float]):
    """Readings as plain numbers, each made when it is asked for: some need further solves."""

    def __init__(self, readings: Any) -> None:
        self._readings = readings

    def __getitem__(self, name: str) -> float:
        found = self._readings[name]
        assert found.value is not None, f"{name} has no value: {found.reason}"
        return float(found.value)

    def __iter__(self) -> Iterator[str]:
        return iter(self._readings)

    def __len__(self) -> int:
        return len(self._readings)


def numbers(drawn: Drawn, model: str = "textbook") -> Numbers:
    """The readings of one drawn supply."""
    return Numbers(solve(drawn, model).readings)


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """A size spread evenly over its decades, to three digits: what somebody could have written."""
    return st.floats(math.log(low), math.log(high)).map(lambda x: float(f"{math.exp(x):.3g}"))


CAPACITOR = st.tuples(st.just("capacitor"), between(1e-4, 1e-2), between(0.01, 0.5))
CHOKE = st.tuples(st.just("choke"), between(0.01, 0.5), between(0.2, 5.0))
RESISTOR = st.tuples(st.just("resistor"), between(1.0, 30.0), st.just(0.0))

FILTERS = st.one_of(
    st.tuples(CAPACITOR),
    st.tuples(CAPACITOR, RESISTOR, CAPACITOR),
    st.tuples(CAPACITOR, CHOKE, CAPACITOR),
    st.tuples(CHOKE, CAPACITOR),
)

ONE_RAIL = st.builds(
    Drawn,
    circuit=st.sampled_from(["bridge", "half-wave", "centre-tap"]),
    voltage=between(5.0, 50.0),
    frequency=st.sampled_from([50.0, 60.0, 400.0]),
    source=between(0.1, 3.0),
    drop=st.sampled_from([0.4, 0.7, 1.0]),
    resistance=between(0.02, 0.3),
    filters=st.tuples(CAPACITOR),
    load=between(20.0, 2000.0),
)

FILTERED = st.builds(
    Drawn,
    circuit=st.sampled_from(["bridge", "centre-tap"]),
    voltage=between(5.0, 50.0),
    frequency=st.sampled_from([50.0, 60.0, 400.0]),
    source=between(0.1, 3.0),
    drop=st.sampled_from([0.4, 0.7, 1.0]),
    resistance=between(0.02, 0.3),
    filters=FILTERS,
    load=between(20.0, 2000.0),
)

DUAL = st.builds(
    Drawn,
    circuit=st.sampled_from(["dual-rail", "dual-half-wave"]),
    voltage=between(8.0, 30.0),
    frequency=st.sampled_from([50.0, 60.0]),
    source=between(0.1, 2.0),
    resistance=between(0.02, 0.3),
    filters=st.tuples(CAPACITOR),
    load=between(30.0, 500.0),
    load_negative=between(30.0, 500.0),
)

LOSS = re.compile(r"(?:[CDLRUZ]\d+|T1)\.power\.mean")


@given(drawn=st.one_of(FILTERED, ONE_RAIL, DUAL))
@few
def test_what_the_mains_delivers_is_what_the_load_and_the_losses_take(drawn):
    """Conservation of energy over one steady period, from the readings alone."""
    found = numbers(drawn)
    losses = math.fsum(found[name] for name in found if LOSS.fullmatch(name))
    # On a dual rail `load` stands for both loads where power is concerned.
    loads = found["load.power.mean"]
    assert found["mains.power.real"] == pytest.approx(loads + losses, rel=EXACT)
    assert found["supply.power.loss"] == pytest.approx(losses, rel=1e-6)


@given(drawn=st.one_of(FILTERED, ONE_RAIL, DUAL))
@few
def test_the_mean_current_of_every_capacitor_is_zero(drawn):
    """Conservation of charge: what flows in over a period flows out again."""
    found = numbers(drawn)
    capacitors = [name for name in found if re.fullmatch(r"C\d+\.current\.rms", name)]
    assert capacitors
    for name in capacitors:
        assert abs(found[name.replace("rms", "mean")]) < EXACT * found[name]


@given(drawn=FILTERED.filter(lambda drawn: any(kind == "choke" for kind, _, _ in drawn.filters)))
@few
def test_the_mean_voltage_of_a_choke_is_that_of_its_resistance(drawn):
    """Conservation of flux: only the winding's resistance keeps a mean voltage."""
    found = numbers(drawn)
    ohms = next(loss for kind, _, loss in drawn.filters if kind == "choke")
    mean = found["L1.voltage.mean"] - ohms * found["L1.current.mean"]
    assert abs(mean) < EXACT * found["L1.voltage.rms"]


@given(drawn=ONE_RAIL, ratio=st.sampled_from([0.02, 0.05]), phase=st.sampled_from([0.0, 35.0, 90.0, 200.0]))
@few
def test_turning_the_winding_round_exchanges_the_diodes(drawn, ratio, phase):
    """Symmetry: -e(t + T/2) keeps an odd order and turns an even one by 180 degrees; then D1, D2 change places.

    A second harmonic makes the halves unlike each other, so that the exchange shows.
    """
    drawn = replace(drawn, circuit="bridge")
    one = numbers(replace(drawn, harmonics=f"{{ order = 2, ratio = {ratio}, phase = {phase} }}"))
    other = numbers(replace(drawn, harmonics=f"{{ order = 2, ratio = {ratio}, phase = {phase + 180.0} }}"))
    for first, second in (("D1", "D2"), ("D2", "D1"), ("D3", "D4"), ("D4", "D3")):
        for measure in ("current.mean", "current.rms", "current.peak", "conduction.angle", "reverse_voltage.peak"):
            assert one[f"{first}.{measure}"] == pytest.approx(other[f"{second}.{measure}"], rel=EXACT)
    for reading in ("load.voltage.mean", "load.voltage.ripple_peak_to_peak", "mains.current.rms", "C1.current.rms"):
        assert one[reading] == pytest.approx(other[reading], rel=1e-7)
    assert one["mains.current.mean"] == pytest.approx(-other["mains.current.mean"], rel=1e-7, abs=1e-12)
    assert one["D1.current.peak"] != pytest.approx(one["D2.current.peak"], rel=1e-6)


@given(drawn=FILTERED)
@few
def test_both_halves_of_a_plain_sine_treat_their_diodes_alike(drawn):
    """Symmetry: half a period later everything is the same with D1 and D2 exchanged, a bridge's legs too."""
    found = numbers(drawn)
    alike = ["D2"] + (["D3", "D4"] if drawn.circuit == "bridge" else [])
    for measure in ("current.mean", "current.rms", "current.peak", "conduction.angle", "reverse_voltage.peak"):
        for diode in alike:
            assert found[f"{diode}.{measure}"] == pytest.approx(found[f"D1.{measure}"], rel=EXACT)


@given(drawn=DUAL)
@few
def test_exchanging_the_loads_of_two_rails_exchanges_the_rails(drawn):
    """Symmetry: the negative rail is the positive one seen from the other end of the winding."""
    one, other = numbers(drawn), numbers(replace(drawn, load=drawn.load_negative, load_negative=drawn.load))
    assert one["load_positive.voltage.mean"] == pytest.approx(-other["load_negative.voltage.mean"], rel=EXACT)
    assert one["load_negative.voltage.mean"] == pytest.approx(-other["load_positive.voltage.mean"], rel=EXACT)
    opposite = "D2" if drawn.circuit == "dual-half-wave" else "D4"
    assert one["D1.current.rms"] == pytest.approx(other[f"{opposite}.current.rms"], rel=EXACT)


VOLTAGES = ("load.voltage.mean", "load.voltage.rms", "load.voltage.ripple_peak_to_peak", "D1.reverse_voltage.peak")
CURRENTS = ("D1.current.mean", "D1.current.rms", "D1.current.peak", "C1.current.rms", "mains.current.rms")
ANGLES = ("D1.conduction.angle", "D1.conduction.start", "D1.conduction.end")


def _similar(one: Numbers, other: Numbers, *, voltage: float = 1.0, current: float = 1.0) -> None:
    ripple = abs(one["load.voltage.peak"])
    for names, factor in ((VOLTAGES, voltage), (CURRENTS, current), (ANGLES, 1.0)):
        for name in names:
            scale = ripple if "ripple" in name else abs(one[name])
            assert other[name] == pytest.approx(factor * one[name], rel=0, abs=EXACT * factor * scale), name


@given(drawn=FILTERED, k=st.sampled_from([0.1, 3.0, 1000.0]))
@few
def test_scaling_every_impedance_scales_the_currents_alone(drawn, k):
    """Similarity: R and L times k, C over k leave every voltage and angle, and divide every current by k."""
    _similar(numbers(drawn), numbers(drawn.scaled(ohms=k, henries=k, farads=1 / k)), current=1 / k)


@given(drawn=FILTERED, k=st.sampled_from([0.2, 2.0]))
@few
def test_scaling_time_changes_no_value(drawn, k):
    """Similarity: k times the frequency with L and C over k is the same film, played faster."""
    faster = replace(drawn.scaled(henries=1 / k, farads=1 / k), frequency=k * drawn.frequency)
    _similar(numbers(drawn), numbers(faster))


@given(drawn=FILTERED, k=st.sampled_from([0.01, 7.0]))
@few
def test_without_drops_everything_scales_with_the_source(drawn, k):
    """Similarity: ideal diodes have no voltage of their own, so the circuit is homogeneous of degree one."""
    drawn = replace(drawn, drop=0.0)
    _similar(numbers(drawn), numbers(replace(drawn, voltage=k * drawn.voltage)), voltage=k, current=k)


@given(drawn=ONE_RAIL, k=st.sampled_from([2.0, 30.0]))
@few
def test_drops_that_scale_with_the_source_scale_everything(drawn, k):
    """Similarity: the same with diodes that have a drop, if the drop scales too."""
    _similar(
        numbers(drawn), numbers(replace(drawn, voltage=k * drawn.voltage, drop=k * drawn.drop)), voltage=k, current=k
    )


@given(drawn=ONE_RAIL)
@few
def test_a_transformer_is_a_source_with_its_resistances_referred(drawn):
    """Theorem: an n:1 winding shows its primary's resistance divided by n^2, and n times less current in it."""
    drawn = replace(drawn, circuit="bridge")
    plain = numbers(drawn)
    primary, section = 0.25 * 400 * drawn.source, 0.75 * drawn.source
    ohms = f'primary_resistance = "{primary:.12f} ohm", secondary_resistance = "{section:.12f} ohm"'
    text = re.sub(
        r"mains = .*",
        f'mains = {{ voltage = "{20 * drawn.voltage:.12f} V", frequency = "{drawn.frequency} Hz" }}\n'
        f'transformer = {{ turns_ratio = "20:1", {ohms} }}',
        drawn.text(),
    )
    found = railwright.solve(railwright.read_text(text), model="textbook").readings
    for name in ("load.voltage.mean", "D1.current.rms", "D1.current.peak", "D1.conduction.angle"):
        assert found[name].value == pytest.approx(plain[name], rel=EXACT)
    assert 20 * found["mains.current.rms"].value == pytest.approx(plain["mains.current.rms"], rel=EXACT)
    assert found["T1.power.mean"].value == pytest.approx(drawn.source * plain["mains.current.rms"] ** 2, rel=EXACT)


@given(drawn=ONE_RAIL)
@few
def test_two_equal_capacitors_are_one_of_twice_the_size(drawn):
    """Parallel connection: capacitances add, series resistances halve."""
    drawn = replace(drawn, circuit="bridge")
    [(_, farads, ohms)] = drawn.filters
    pair = replace(drawn, filters=(("capacitor", farads, ohms),) * 2)
    single = replace(drawn, filters=(("capacitor", 2 * farads, ohms / 2),))
    one, two = numbers(single), numbers(pair)
    assert two["load.voltage.mean"] == pytest.approx(one["load.voltage.mean"], rel=EXACT)
    assert two["D1.current.rms"] == pytest.approx(one["D1.current.rms"], rel=EXACT)
    assert 2 * two["C1.current.rms"] == pytest.approx(one["C1.current.rms"], rel=EXACT)


@given(drawn=ONE_RAIL, share=st.sampled_from([0.25, 0.9]))
@few
def test_it_does_not_matter_where_in_the_loop_resistance_stands(drawn, share):
    """Series connection: one source and two diodes carry the same current in a bridge."""
    drawn = replace(drawn, circuit="bridge")
    total = drawn.source + 2 * drawn.resistance
    moved = replace(drawn, source=share * total, resistance=(1 - share) * total / 2)
    one, other = numbers(drawn), numbers(moved)
    for name in ("load.voltage.mean", "load.voltage.ripple_rms", "D1.current.rms", "D1.conduction.angle"):
        assert other[name] == pytest.approx(one[name], rel=EXACT)


DROPS = {"bridge": 2, "half-wave": 1, "centre-tap": 1}


@given(drawn=ONE_RAIL)
@few
def test_a_light_load_brings_a_reservoir_to_the_peak_less_the_drops(drawn):
    """Limit: as the load grows the mean rises towards peak - drops, and never reaches it."""
    limit = math.sqrt(2) * drawn.voltage - DROPS[drawn.circuit] * drawn.drop
    gaps = [1 - numbers(replace(drawn, load=load))["load.voltage.mean"] / limit for load in (1e4, 1e6, 1e8)]
    assert 0 < gaps[2] < gaps[1] < gaps[0]
    # Conduction angle ~ load^(-1/3), distance ~ its square, ripple ~ load^-1: under 1e-4 at 100 Mohm.
    assert gaps[2] < 1e-4


@given(drawn=ONE_RAIL)
@few
def test_a_vanishing_capacitor_leaves_the_unfiltered_waveform(drawn):
    """Limit: ten nanofarads across at most 100 ohm are next to no filter: w R C is under 3e-3."""
    drawn = replace(drawn, filters=(("capacitor", 1e-8, 0.0),), load=min(drawn.load, 100.0))
    filtered, bare = numbers(drawn), numbers(replace(drawn, filters=()))
    for name in ("load.voltage.mean", "load.voltage.rms", "D1.current.rms", "D1.current.peak"):
        assert filtered[name] == pytest.approx(bare[name], rel=1e-3)


@given(drawn=ONE_RAIL)
@few
def test_more_capacitance_leaves_less_ripple(drawn):
    """Monotone, for a resistive load and a capacitor without series resistance."""
    sizes = (1e-4, 3e-4, 1e-3, 3e-3)
    ripples = [
        numbers(replace(drawn, filters=(("capacitor", size, 0.0),)))["load.voltage.ripple_peak_to_peak"]
        for size in sizes
    ]
    assert ripples == sorted(ripples, reverse=True) and len(set(ripples)) == len(ripples)


@given(drawn=ONE_RAIL)
@few
def test_a_heavier_load_lowers_the_mean(drawn):
    """Monotone: the load characteristic of a passive supply falls."""
    means = [numbers(replace(drawn, load=load))["load.voltage.mean"] for load in (20.0, 60.0, 300.0, 2000.0)]
    assert means == sorted(means) and len(set(means)) == len(means)


@given(drawn=st.one_of(ONE_RAIL, FILTERED))
@few
def test_no_reading_leaves_its_bounds(drawn):
    """Bounds: a passive rectifier without a resonance above the source stays below its peak less the drops."""
    found = numbers(drawn)
    limit = math.sqrt(2) * drawn.voltage - DROPS[drawn.circuit] * drawn.drop
    assert 0 < found["load.voltage.mean"] < limit
    assert found["load.voltage.rms"] >= found["load.voltage.mean"]
    assert found["load.voltage.valley"] <= found["load.voltage.mean"] <= found["load.voltage.peak"]
    assert 0 < found["D1.conduction.angle"] <= 360
    assert found["D1.current.rms"] >= found["D1.current.mean"] > 0
    assert 0 < found["mains.power.factor"] <= 1
    assert 0 < found["supply.efficiency"] < 1
    assert found["load.voltage.mean"] == pytest.approx(drawn.load * found["load.current.mean"], rel=EXACT)


@given(drawn=FILTERED)
@few
def test_the_order_of_rms_mean_and_ripple_is_that_of_pythagoras(drawn):
    """Definition: rms^2 = mean^2 + ripple_rms^2, and the harmonics up to 40 don't exceed the ripple."""
    found = numbers(drawn)
    squares = found["load.voltage.mean"] ** 2 + found["load.voltage.ripple_rms"] ** 2
    assert found["load.voltage.rms"] ** 2 == pytest.approx(squares, rel=EXACT)
    orders = math.fsum(found[f"load.voltage.harmonic_{n}"] ** 2 for n in range(1, 41))
    assert orders <= found["load.voltage.ripple_rms"] ** 2 * (1 + 1e-6)


@given(drawn=st.one_of(FILTERED, DUAL))
@few
def test_every_answer_brings_a_proof_within_its_limits(drawn):
    """The six balances of an exact piecewise-linear answer: 1e-9, the diode law 1e-12 (promised limits)."""
    proof = solve(drawn).proof
    for name in ("power_balance", "charge_balance", "flux_balance", "periodicity", "kirchhoff"):
        assert 0 <= getattr(proof, name) < 1e-9, name
    assert 0 <= proof.diode_law < 1e-12


@given(drawn=FILTERED)
@few
def test_no_number_of_cells_decides_an_answer(drawn):
    """The period is cut into cells only to walk through it: four times as many must give the same readings."""
    answer = solve(drawn)
    finer = Equations(answer.network, cells=4 * answer.solution.equations.cells)
    other = replace_solution(answer, Solution(finer, find(finer)))
    _similar(Numbers(answer.readings), Numbers(other.readings))


def replace_solution(answer: Any, solution: Any) -> Any:
    """The same study with another solution of its network."""
    return type(answer)(supply=answer.supply, model=answer.model, solution=solution, tuning=answer.tuning)


@given(drawn=ONE_RAIL)
@few
def test_the_waveform_and_the_readings_are_one_solution(drawn):
    """Consistency: a trapezoid over the waveform gives the mean, its extremes the peak, to the sampling's error."""
    answer = solve(drawn)
    wave = answer.waveform("load.voltage")
    times, values = [float(t) for t in wave.times], [float(v) for v in wave.values]
    assert times[0] == 0 and times[-1] == pytest.approx(1 / drawn.frequency, rel=1e-12)
    assert len(times) >= 721
    area = math.fsum(
        (b - a) * (u + v) / 2 for a, b, u, v in zip(times[:-1], times[1:], values[:-1], values[1:], strict=True)
    )
    assert area * drawn.frequency == pytest.approx(answer.readings["load.voltage.mean"].value, rel=1e-4)
    assert max(values) == pytest.approx(answer.readings["load.voltage.maximum"].value, rel=1e-3)
    assert values[0] == pytest.approx(values[-1], rel=1e-9)


def _covers(intervals: Callable[[], Any]) -> None:
    edges = [(stretch.start, stretch.end) for stretch in intervals()]
    assert edges[0][0] == 0 and edges[-1][1] == pytest.approx(360)
    assert all(a[1] == pytest.approx(b[0]) for a, b in zip(edges[:-1], edges[1:], strict=True))


@given(drawn=FILTERED)
@few
def test_conduction_intervals_cover_the_period_and_add_up_to_the_angles(drawn):
    """Definition: every instant belongs to one interval; D1's angle is the sum of those in which it is on."""
    answer = solve(drawn)
    _covers(lambda: answer.conduction)
    angle = math.fsum(stretch.end - stretch.start for stretch in answer.conduction if "D1" in stretch.on)
    assert angle == pytest.approx(answer.readings["D1.conduction.angle"].value, rel=1e-9)
