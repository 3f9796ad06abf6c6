"""Named ways of going wrong, as data: what the idea is, and the numbers that it gives for a supply.

Each way is a formula in the names of the handbook's quantities; worked out with a supply's own facts it gives the wrong
number, and compared with a student's or a teacher's working it shows itself by its form. The ideas are rows of the
misconceptions that courses report; where no source is named the row is our own observation of the trade: common
practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from railwright.exercises.expressions.in_names import value_of
from railwright.handbook.by_hand import by_hand
from railwright.supply.model import Supply
from railwright.supply.nominal import section_voltage

Facts = Mapping[str, float]

#: Two numbers nearer than this are the same number: then the idea does no harm here. [-]
SAME: Final = 2e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Misconception:
    """One way of going wrong about one quantity.

    `name` is the kind that a finding carries; several entries share it. `ways` are formulas in quantity names; `when`
    says for which supplies they are wrong at all; `text` completes the story in one sentence.
    """

    name: str
    quantity: str
    ways: tuple[str, ...]
    text: str
    when: Callable[[Facts], bool] | None = None

    def applies(self, facts: Facts) -> bool:
        """Whether the idea is wrong for a supply; False where its facts don't tell."""
        try:
            return self.when is None or self.when(facts)
        except KeyError:
            return False


@dataclass(frozen=True, slots=True, kw_only=True)
class WrongValue:
    """The number that a misconception gives for one supply, in SI."""

    misconception: Misconception
    way: str
    value: float


def _full_wave(facts: Facts) -> bool:
    return facts["pulses"] == 2.0


def _half_wave(facts: Facts) -> bool:
    return facts["pulses"] == 1.0


def _smoothed(facts: Facts) -> bool:
    return facts.get("capacitance", 0.0) > 0.0


def _two_drops(facts: Facts) -> bool:
    return facts["diodes_in_path"] == 2.0


def _one_drop(facts: Facts) -> bool:
    return facts["diodes_in_path"] == 1.0


def _with_drop(facts: Facts) -> bool:
    return facts["diode_drop"] > 0.0


def _tapped(facts: Facts) -> bool:
    return facts["tapped"] == 1.0


def _half_wave_smoothed(facts: Facts) -> bool:
    return _half_wave(facts) and _smoothed(facts)


def _taking_turns(facts: Facts) -> bool:
    return facts["pulses"] == 2.0 and facts["stacked"] == 0.0


_RMS_FOR_PEAK = "The RMS value of the winding was taken for its peak: the peak of a sine is √2 times the RMS value."
_DROPS = "Count the diodes in the path: a bridge has two conducting at a time, every other circuit here has one."
_PERIOD = (
    "The capacitor was left to discharge for a whole mains period: behind a full-wave rectifier it is recharged twice "
    "in each."
)

MISCONCEPTIONS: Final[tuple[Misconception, ...]] = (
    Misconception(
        name="peak for RMS", quantity="source_peak", ways=("source_rms",), text=_RMS_FOR_PEAK,
    ),
    Misconception(
        name="peak for RMS", quantity="load_peak", text=_RMS_FOR_PEAK,
        ways=("source_rms - total_drop", "source_rms - diodes_in_path * diode_drop"),
    ),
    Misconception(
        name="peak for RMS", quantity="load_mean", text=_RMS_FOR_PEAK, when=_smoothed,
        ways=("source_rms - total_drop", "source_rms - diodes_in_path * diode_drop",
              "source_rms - total_drop - ripple_peak_to_peak / 2"),
    ),
    Misconception(
        name="peak for RMS", quantity="source_peak", ways=("source_peak * sqrt(2)",),
        text="The peak was multiplied by √2 once more: it was taken for an RMS value.",
    ),
    Misconception(
        name="peak for RMS", quantity="load_peak", ways=("source_peak * sqrt(2) - total_drop",),
        text="The peak was multiplied by √2 once more: it was taken for an RMS value.",
    ),
    Misconception(
        name="peak for RMS", quantity="source_rms", ways=("source_peak",),
        text="The peak was taken for the RMS value: the RMS value of a sine is the peak over √2.",
    ),
    Misconception(
        name="peak for RMS", quantity="reverse_voltage_peak",
        ways=("source_rms", "source_rms - diode_drop", "2 * source_rms", "2 * source_rms - diode_drop"),
        text="A diode has to block the peak of the winding's voltage, not its RMS value.",
    ),
    Misconception(
        name="divided by root two", quantity="source_peak", ways=("source_rms / sqrt(2)",),
        text="The RMS value was divided by √2; the peak is √2 times the RMS value.",
    ),
    Misconception(
        name="divided by root two", quantity="load_peak",
        ways=("source_rms / sqrt(2) - total_drop", "source_rms / sqrt(2) - diodes_in_path * diode_drop"),
        text="The RMS value was divided by √2; the peak is √2 times the RMS value.",
    ),
    Misconception(
        name="drop count", quantity="load_peak", text=_DROPS, when=_two_drops,
        ways=("source_peak - diode_drop", "source_peak - 4 * diode_drop", "source_rms * sqrt(2) - diode_drop"),
    ),
    Misconception(
        name="drop count", quantity="load_peak", text=_DROPS, when=_one_drop,
        ways=("source_peak - 2 * diode_drop", "source_rms * sqrt(2) - 2 * diode_drop", "source_peak - two_drops",
              "source_rms * sqrt(2) - two_drops"),
    ),
    Misconception(
        name="drop count", quantity="load_peak", ways=("source_peak",), when=_with_drop,
        text="No diode drop was taken off: the load gets the source's peak less the drops in the path.",
    ),
    Misconception(
        name="drop count", quantity="load_peak", ways=("source_peak + total_drop", "source_peak + diode_drop"),
        when=_with_drop, text="The drops were added: the diodes take their drops from the source's peak.",
    ),
    Misconception(
        name="drop count", quantity="total_drop", ways=("4 * diode_drop",), when=_two_drops, text=_DROPS,
    ),
    Misconception(
        name="drop count", quantity="total_drop", ways=("2 * diode_drop",), when=_one_drop, text=_DROPS,
    ),
    Misconception(
        name="mean without the capacitor", quantity="load_mean", when=_smoothed,
        ways=("2 * load_peak / pi", "load_peak / pi", "2 * source_peak / pi", "source_peak / pi", "0.9 * source_rms",
              "0.45 * source_rms"),
        text="That is the mean without a capacitor; with one the voltage stays close to the peak.",
    ),
    Misconception(
        name="half-wave for full-wave", quantity="load_mean", ways=("load_peak / pi", "0.45 * source_rms"),
        when=lambda facts: _full_wave(facts) and not _smoothed(facts),
        text="That is the mean of one half-cycle in two: 0.318 of the peak. Full-wave has twice that, 0.637.",
    ),
    Misconception(
        name="half-wave for full-wave", quantity="load_mean", ways=("2 * load_peak / pi", "0.9 * source_rms"),
        when=lambda facts: _half_wave(facts) and not _smoothed(facts),
        text="That is the mean of a full-wave rectifier, 0.637 of the peak. Half-wave has half of it, 0.318.",
    ),
    Misconception(
        name="RMS of any wave", quantity="load_rms", ways=("load_peak / sqrt(2)",),
        when=lambda facts: _half_wave(facts) and not _smoothed(facts),
        text="Peak over √2 is the RMS value of a whole sine; of half-waves with gaps it is half the peak.",
    ),
    Misconception(
        name="full period", quantity="ripple_peak_to_peak", text=_PERIOD, when=_full_wave,
        ways=("load_current / (mains_frequency * capacitance)", "load_current * period / capacitance",
              "load_peak / (mains_frequency * load_resistance * capacitance)",
              "load_peak * period / (load_resistance * capacitance)"),
    ),
    Misconception(
        name="full period", quantity="capacitance", text=_PERIOD, when=_full_wave,
        ways=("load_current / (mains_frequency * ripple_peak_to_peak)", "load_current * period / ripple_peak_to_peak"),
    ),
    Misconception(
        name="full period", quantity="discharge_time", text=_PERIOD, when=_full_wave, ways=("period",),
    ),
    Misconception(
        name="half period", quantity="ripple_peak_to_peak", when=_half_wave,
        ways=("load_current / (2 * mains_frequency * capacitance)",
              "load_peak / (2 * mains_frequency * load_resistance * capacitance)"),
        text="Half a period is the time between the pulses of a full-wave rectifier; one diode gives one a period.",
    ),
    Misconception(
        name="ripple frequency", quantity="ripple_frequency", when=_full_wave, ways=("mains_frequency",),
        text="Behind a full-wave rectifier the ripple has twice the mains frequency.",
    ),
    Misconception(
        name="ripple frequency", quantity="ripple_frequency", when=_half_wave, ways=("2 * mains_frequency",),
        text="Behind one diode the ripple has the mains frequency itself: one pulse in each period.",
    ),
    Misconception(
        name="peak to peak for RMS", quantity="ripple_rms", ways=("ripple_peak_to_peak",),
        text="The peak-to-peak value was taken for the RMS value: of a sawtooth that is peak to peak over 2√3.",
    ),
    Misconception(
        name="sine factor", quantity="ripple_rms",
        ways=("ripple_peak_to_peak / (2 * sqrt(2))", "ripple_peak_to_peak / sqrt(2)"),
        text="The factor is that of a sine; the ripple is nearly a sawtooth, with peak to peak over 2√3.",
    ),
    Misconception(
        name="reactance for ripple", quantity="ripple_peak_to_peak",
        ways=("load_current / (2 * pi * ripple_frequency * capacitance)",
              "load_current / (2 * pi * mains_frequency * capacitance)"),
        text="Reactance and Ohm's law hold for a sine; here the capacitor discharges steadily between the pulses.",
    ),
    Misconception(
        name="half winding", quantity="source_peak", when=_tapped, ways=("2 * sqrt(2) * source_rms", "2 * source_peak"),
        text="Each diode of this circuit sees one half of the winding at a time, not the whole.",
    ),
    Misconception(
        name="half winding", quantity="load_peak", when=_tapped,
        ways=("2 * source_peak - diode_drop", "2 * sqrt(2) * source_rms - diode_drop",
              "2 * source_peak - 2 * diode_drop"),
        text="Each diode of this circuit sees one half of the winding at a time, not the whole.",
    ),
    Misconception(
        name="half winding", quantity="load_peak",
        ways=("source_peak / 2 - diodes_in_path * diode_drop", "source_peak / 2 - total_drop"),
        text="Half of the winding's voltage was used: the sheet states that of the part which the diodes see.",
    ),
    Misconception(
        name="half winding", quantity="source_peak", ways=("source_peak / 2", "source_rms * sqrt(2) / 2"),
        text="Half of the winding's voltage was used: the sheet states that of the part which the diodes see.",
    ),
    Misconception(
        name="reverse voltage", quantity="reverse_voltage_peak",
        ways=("2 * source_peak", "2 * source_peak - diode_drop"),
        when=lambda facts: facts["diodes_in_path"] == 2.0,
        text="Twice the peak is for half-wave with a capacitor and for centre-tap; in a bridge a diode blocks it once.",
    ),
    Misconception(
        name="reverse voltage", quantity="reverse_voltage_peak", ways=("source_peak", "source_peak - diode_drop"),
        when=lambda facts: _tapped(facts) or _half_wave_smoothed(facts),
        text="While the winding is at its negative peak the load side still is positive: the diode blocks both.",
    ),
    Misconception(
        name="steady diode current", quantity="diode_current_mean", ways=("load_current",), when=_taking_turns,
        text="The diodes take turns: each carries half of the load's mean current.",
    ),
    Misconception(
        name="steady diode current", quantity="diode_current_peak", ways=("load_current", "load_current / 2"),
        when=_smoothed,
        text="With a capacitor the diodes conduct in short pulses, many times higher than the load current.",
    ),
    Misconception(
        name="winding current", quantity="winding_current_rms", ways=("load_current", "load_current / sqrt(2)"),
        when=_smoothed,
        text="The winding delivers the charge in short pulses: its RMS current is well above the direct current.",
    ),
    Misconception(
        name="regulation base", quantity="regulation",
        ways=("(no_load_voltage - load_mean) / no_load_voltage",),
        text="The fall was divided by the voltage without load; regulation is taken over the full-load voltage.",
    ),
    Misconception(
        name="turns ratio", quantity="source_rms", ways=("primary_rms * turns_ratio",),
        text="The turns ratio was used upside down: fewer turns on the winding give less voltage.",
    ),
    Misconception(
        name="turns ratio", quantity="source_peak",
        ways=("primary_rms * turns_ratio * sqrt(2)", "primary_rms * sqrt(2)"),
        when=lambda facts: facts["turns_ratio"] != 1.0,
        text="The winding's voltage is the mains voltage over the turns ratio.",
    ),
    Misconception(
        name="turns ratio", quantity="turns_ratio", ways=("source_rms / primary_rms",),
        text="The turns ratio is primary over winding here: it was turned upside down.",
    ),
    Misconception(
        name="turns ratio", quantity="mains_frequency", ways=("mains_frequency / turns_ratio",),
        text="A transformer changes the voltage; the frequency stays.",
    ),
)  # fmt: skip


def facts_of(supply: Supply, model: str = "textbook") -> Facts:
    """The numbers of a supply that the ways of going wrong start from, by quantity name, in SI.

    Parameters
    ----------
    supply : Supply
        A checked supply.
    model : {"ideal", "textbook", "physical"}
        As for the working by hand.

    Returns
    -------
    mapping
        Empty where nothing can be worked out by hand.
    """
    facts: dict[str, float] = {}
    for result in by_hand(supply, model):
        for name, value in (*result.circumstances.items(), *result.givens.items()):
            facts.setdefault(name, value)
        quantity = _QUANTITY_OF_END.get(".".join(result.reading.split(".")[-2:]))
        place = result.reading.split(".")[0]
        if quantity is not None and not place.startswith(("secondary", "mains")):
            facts.setdefault(quantity, abs(result.value))
    if not facts:
        return MappingProxyType({})
    circuit = supply.rectifier.circuit
    facts["tapped"] = float(circuit in ("centre-tap", "dual-rail"))
    facts["stacked"] = float(circuit in ("full-wave-doubler", "half-wave-doubler", "multiplier"))
    if supply.mains.phases == 1 and supply.mains.waveform == "sine" and "source_peak" in facts:
        facts["source_rms"] = facts["source_peak"] / math.sqrt(2.0)
    if "diode_drop" in facts and "diodes_in_path" in facts:
        facts["total_drop"] = facts["diode_drop"] * facts["diodes_in_path"]
        facts["two_drops"] = 2.0 * facts["diode_drop"]
    if facts.get("mains_frequency"):
        facts["period"] = 1.0 / facts["mains_frequency"]
        facts.setdefault("ripple_frequency", facts["pulses"] * facts["mains_frequency"])
        facts.setdefault("discharge_time", 1.0 / facts["ripple_frequency"])
    if supply.transformer is not None and supply.mains.phases == 1:
        facts["primary_rms"] = supply.mains.voltage_rms
        section = section_voltage(supply.mains, supply.transformer)
        facts["turns_ratio"] = supply.transformer.turns_ratio or supply.mains.voltage_rms / section
    return MappingProxyType(facts)


_QUANTITY_OF_END: Final[Mapping[str, str]] = MappingProxyType(
    {
        "voltage.peak": "load_peak",
        "voltage.mean": "load_mean",
        "voltage.valley": "load_valley",
        "voltage.ripple_peak_to_peak": "ripple_peak_to_peak",
        "voltage.ripple_rms": "ripple_rms",
        "voltage.ripple_frequency": "ripple_frequency",
        "voltage.no_load_mean": "no_load_voltage",
        "current.mean": "load_current",
    }
)


def wrong_values(facts: Facts, quantity: str) -> Iterator[WrongValue]:
    """The numbers that the known misconceptions give for one quantity of a supply, where they are wrong."""
    right = facts.get(quantity)
    for misconception in MISCONCEPTIONS:
        if misconception.quantity != quantity or not misconception.applies(facts):
            continue
        for way in misconception.ways:
            value = value_of(way, facts)
            if value is None or not value > 0.0:
                continue
            if right is not None and abs(value - right) <= SAME * abs(right):
                continue
            yield WrongValue(misconception=misconception, way=way, value=value)
