"""What the tables know of a diode: its law at any junction temperature, and its ratings."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from railwright.parts.catalogue import STAND_INS, find
from railwright.parts.errors import UnsuitablePart, shown
from railwright.parts.part import Part, PartValue
from railwright.quantities import QuantityError, read_quantity

BOLTZMANN_OVER_CHARGE = 1.380649e-23 / 1.602176634e-19  # [V/K] exact since the SI of 2019
ABSOLUTE_ZERO = -273.15  # [°C]
COLDEST, HOTTEST = -100.0, 300.0  # [°C] beyond these no junction of the tables' kinds has a law
SILICON_GAP = 1.12  # [eV] common practice, no source
SILICON_EXPONENT = 3.0  # [-] common practice, no source
LEAKAGE_DOUBLING = 10.0  # [K] common practice, no source; used where the table states one temperature only
LEAST_IDEALITY = 0.8  # [-] a junction has 1 or more; below this the points aren't those of one junction
_TYPES = ("diode", "bridge")
_SERIES = "the name covers a series of reverse voltages: state reverse_voltage_rating"


def thermal_voltage(temperature: float) -> float:
    """Return kT/q.

    Parameters
    ----------
    temperature : float
        [°C]

    Returns
    -------
    float
        [V]

    >>> round(thermal_voltage(25.0), 5)
    0.02569
    """
    return BOLTZMANN_OVER_CHARGE * (temperature - ABSOLUTE_ZERO)


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodeLaw:
    """The exponential law v = ideality x U x ln(1 + i/saturation_current) + series_resistance x i, U = kT/q.

    ``leakage`` is the reverse current at ``leakage_voltage``; None where it isn't known. ``provenance`` tells the
    origin of each field.
    """

    saturation_current: float  # [A] at law_temperature
    ideality: float  # [-]
    series_resistance: float = 0.0  # [ohm]
    law_temperature: float = 25.0  # [°C]
    energy_gap: float = SILICON_GAP  # [eV]
    temperature_exponent: float = SILICON_EXPONENT  # [-]
    leakage: float | None = None  # [A] at law_temperature
    leakage_voltage: float | None = None  # [V]
    leakage_doubling: float = LEAKAGE_DOUBLING  # [K] the rise in temperature that doubles the leakage
    provenance: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what is no diode."""
        for name in ("saturation_current", "ideality", "energy_gap", "leakage_doubling"):
            _positive(name, getattr(self, name))
        if not (math.isfinite(self.series_resistance) and self.series_resistance >= 0.0):
            raise ValueError(f"series_resistance is {self.series_resistance:g} ohm. Allowed: zero or more.")
        _junction(self.law_temperature)

    @property
    def leakage_resistance(self) -> float | None:
        """The resistor that takes the leakage at the leakage voltage; None where the leakage isn't known. [ohm]"""
        if not self.leakage or self.leakage_voltage is None:
            return None
        return self.leakage_voltage / self.leakage

    def drop(self, current: float) -> float:
        """Return the forward drop.

        Parameters
        ----------
        current : float
            Zero or more. [A]

        Returns
        -------
        float
            [V] at the law's temperature.
        """
        junction = math.log1p(current / self.saturation_current)
        return self.ideality * thermal_voltage(self.law_temperature) * junction + self.series_resistance * current

    def at(self, junction_temperature: float) -> DiodeLaw:
        """Return the law at another junction temperature.

        Saturation current by Is(T) = Is(T0) (T/T0)^(xti/n) exp(-(Eg/(n k)) (1/T - 1/T0)), T in kelvin; ideality
        and series resistance stay. The leakage doubles for every ``leakage_doubling``.

        With a fitted ideality near 2 the drop falls by about 1 mV/K at rated current, where real rectifiers lose
        1.3 to 2: good for the direction and half the size of the effect (the part tables say so, too).

        Parameters
        ----------
        junction_temperature : float
            From -100 to 300. [°C]

        Raises
        ------
        ValueError
            If the temperature is outside that range.

        Source
        ------
        standard semiconductor text, saturation current of a junction; from memory
        """
        _junction(junction_temperature)
        if junction_temperature == self.law_temperature:
            return self
        cold = self.law_temperature - ABSOLUTE_ZERO
        hot = junction_temperature - ABSOLUTE_ZERO
        gap = self.energy_gap / (self.ideality * BOLTZMANN_OVER_CHARGE)  # [K]
        growth = (hot / cold) ** (self.temperature_exponent / self.ideality) * math.exp(-gap * (1.0 / hot - 1.0 / cold))
        scaled = f"scaled from {self.law_temperature:g} °C by the law of the saturation current (from memory)"
        origin = dict(self.provenance)
        origin["saturation_current"] = "; ".join(filter(None, (origin.get("saturation_current"), scaled)))
        leakage = self.leakage
        if leakage is not None:
            leakage *= 2.0 ** ((junction_temperature - self.law_temperature) / self.leakage_doubling)
            doubled = f"doubled for every {self.leakage_doubling:.3g} K from {self.law_temperature:g} °C"
            origin["leakage"] = "; ".join(filter(None, (origin.get("leakage"), doubled)))
        return replace(
            self,
            saturation_current=self.saturation_current * growth,
            law_temperature=float(junction_temperature),
            leakage=leakage,
            provenance=origin,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DiodeRatings:
    """What one diode (of a bridge: one leg) may bear; None is 'not stated', and ``provenance`` says why."""

    reverse_voltage: float | None  # [V] peak, repetitive
    mean_current: float | None  # [A] of one diode
    surge: float | None  # [A] one half sine
    provenance: Mapping[str, str] = field(default_factory=dict)


def diode_law(name: str | Part = "silicon") -> DiodeLaw:
    """Return the law of a diode of the tables, at the temperature for which the table states it.

    Parameters
    ----------
    name : str or Part
        As in "1N4007", "bridge 4 A" (one leg); "silicon" is the sheet's default, an ordinary 1 A silicon rectifier,
        and stands for the entry 1N4001, whose law is that of the family up to 1N4007.

    Raises
    ------
    UnknownPart
        If no table has it.
    UnsuitablePart
        If it is no diode, or one whose exponential law isn't known.

    >>> diode_law("silicon").saturation_current == diode_law("1N4007").saturation_current
    True
    """
    part = _diode(name)
    law = {key: part.first(key, "typical", "") for key in ("saturation_current", "ideality", "series_resistance")}
    numbers = {key: value.value for key, value in law.items() if value is not None and value.value is not None}
    if "saturation_current" not in numbers or "ideality" not in numbers:
        raise UnsuitablePart(
            part.name,
            f"has no exponential law in its table ({part.facts.get('law', 'it states none')})",
            'State the drop at two currents, as in points = [["10 mA", "0.75 V"], ["1 A", "1.2 V"]], '
            "or solve with the textbook model.",
        )
    temperature = _temperature(part)
    gap = part.first("energy_gap")
    exponent = part.first("temperature_exponent")
    origin = {key: value.origin for key, value in law.items() if value is not None}
    leak = _leakage(part, temperature)
    leakage, leakage_voltage, doubling = None, None, LEAKAGE_DOUBLING
    if leak is not None:
        value, leakage_voltage = leak
        leakage = value.value
        origin["leakage"] = value.origin
        doubling, origin["leakage_doubling"] = _doubling(part, value, temperature)
    for key, chosen in (("energy_gap", gap), ("temperature_exponent", exponent)):
        origin[key] = chosen.origin if chosen else "that of silicon; common practice, no source"
    return DiodeLaw(
        saturation_current=numbers["saturation_current"],
        ideality=numbers["ideality"],
        series_resistance=numbers.get("series_resistance", 0.0),
        law_temperature=temperature,
        energy_gap=gap.value if gap and gap.value else SILICON_GAP,
        temperature_exponent=exponent.value if exponent and exponent.value is not None else SILICON_EXPONENT,
        leakage=leakage,
        leakage_voltage=leakage_voltage,
        leakage_doubling=doubling,
        provenance=origin,
    )


def diode_ratings(name: str | Part = "silicon") -> DiodeRatings:
    """Return what a diode of the tables may bear.

    Of a bridge, what one leg may bear: half of the bridge's output current. Where makers differ, the smallest. A name
    that stands for a whole series ("silicon", "bridge 4 A") states no reverse voltage.

    Parameters
    ----------
    name : str or Part
        As for :func:`diode_law`.

    Raises
    ------
    UnknownPart
        If no table has it.
    UnsuitablePart
        If it is no diode.

    >>> diode_ratings("1N4007").reverse_voltage
    1000.0
    """
    part = _diode(name)
    origin: dict[str, str] = {}
    ratings: dict[str, float | None] = {}
    keys = (
        ("reverse_voltage", "reverse_voltage_rating"),
        ("mean_current", "mean_current_rating"),
        ("surge", "surge_rating"),
    )
    for rating, key in keys:
        value = min(part.all(key), key=lambda value: value.value or 0.0, default=None)
        ratings[rating] = None if value is None else value.value
        origin[rating] = "not stated" if value is None else value.origin
        if value is not None and value.value and value.conditions.get("of") == "bridge output":
            ratings[rating] = value.value / 2.0
            origin[rating] += "; half of it a leg, as each conducts in every other half cycle"
        if rating == "reverse_voltage" and value is not None:
            generic = isinstance(name, str) and name.casefold().strip() in STAND_INS
            if generic or "series" in value.conditions:
                ratings[rating], origin[rating] = None, _SERIES
    return DiodeRatings(**ratings, provenance=origin)


def law_from_points(
    points: Sequence[tuple[float, float]],
    *,
    series_resistance: float = 0.0,
    temperature: float = 25.0,
    energy_gap: float = SILICON_GAP,
    temperature_exponent: float = SILICON_EXPONENT,
) -> DiodeLaw:
    """Return the exponential law that passes through two measured points, exactly.

    Parameters
    ----------
    points : two pairs of float
        Current and drop of each. [A], [V]
    series_resistance : float
        Its share of the drop is taken off first. [ohm]
    temperature : float
        At which the points were measured. [°C]
    energy_gap : float
        For another temperature. [eV]
    temperature_exponent : float
        For another temperature. [-]

    Raises
    ------
    ValueError
        If there aren't two points, or no diode can have them; it says which and why.

    >>> law = law_from_points([(1e-3, 0.64), (1.0, 0.96)])
    >>> round(law.drop(1.0), 12), round(law.ideality, 2)
    (0.96, 1.8)
    """
    _junction(temperature)
    if len(points) != 2:
        raise ValueError(f"{len(points)} points were given. A law takes two: the drop at a small and a large current.")
    if not (math.isfinite(series_resistance) and series_resistance >= 0.0):
        raise ValueError(f"series_resistance is {series_resistance:g} ohm. Allowed: zero or more.")
    (low, low_drop), (high, high_drop) = sorted((float(current), float(drop)) for current, drop in points)
    for current, drop in ((low, low_drop), (high, high_drop)):
        if not (math.isfinite(current) and math.isfinite(drop) and current > 0.0 and drop > 0.0):
            raise ValueError(f"The point {current:g} A, {drop:g} V is none of a forward curve: both are above zero.")
    if low == high:
        raise ValueError(f"Both points are at {low:g} A. Measure the drop at two currents, best ten times apart.")
    pair = f"{low_drop:g} V at {low:g} A and {high_drop:g} V at {high:g} A"
    low_junction = low_drop - series_resistance * low
    high_junction = high_drop - series_resistance * high
    if low_junction <= 0.0 or high_junction <= low_junction:
        taken = f" once {series_resistance:g} ohm has taken its share" if series_resistance else ""
        raise ValueError(f"{pair}: the drop doesn't rise with the current{taken}. Check the points.")
    if high_junction / low_junction >= high / low:
        raise ValueError(f"{pair}: the drop rises as that of a resistor, or faster. Check the points.")
    thermal = thermal_voltage(temperature)
    saturation = _saturation(low, high, high_junction / low_junction)
    ideality = high_junction / (thermal * math.log1p(high / saturation)) if saturation > 0.0 else 0.0
    if ideality < LEAST_IDEALITY:
        steeper = (high_junction - low_junction) / (thermal * math.log(high / low))
        raise ValueError(
            f"{pair}: the drop rises less than that of any junction at {temperature:g} °C "
            f"(ideality {steeper:.2g}, a diode has 1 to 2). Check the points, their units and the temperature."
        )
    origin = f"through two points: {pair}, {temperature:g} °C"
    return DiodeLaw(
        saturation_current=saturation,
        ideality=ideality,
        series_resistance=series_resistance,
        law_temperature=temperature,
        energy_gap=energy_gap,
        temperature_exponent=temperature_exponent,
        provenance={"saturation_current": origin, "ideality": origin},
    )


def _saturation(low: float, high: float, ratio: float) -> float:
    """The current s for which ln(1 + high/s) / ln(1 + low/s) is the ratio; 0 if it lies below every float."""
    # The quotient grows with s, from 1 towards high/low: halving the interval of ln s can't miss.
    left, right = math.log(low) - 690.0, math.log(high) + 50.0
    left = max(left, -700.0)

    def quotient(logarithm: float) -> float:
        s = math.exp(logarithm)
        return math.log1p(high / s) / math.log1p(low / s)

    if quotient(left) > ratio:
        return 0.0
    for _ in range(200):
        middle = 0.5 * (left + right)
        if quotient(middle) < ratio:
            left = middle
        else:
            right = middle
    return math.exp(0.5 * (left + right))


def _diode(name: str | Part) -> Part:
    if isinstance(name, Part):
        if name.type not in _TYPES:
            reason = f"is a part of type {name.type}, where a diode is needed"
            raise UnsuitablePart(name.name, reason, "Name a part of type diode or bridge.")
        return name
    return find(name, types=_TYPES, wanted="diode")


def _temperature(part: Part) -> float:
    text = part.facts.get("law_temperature", "25 °C")
    try:
        return read_quantity(text, "°C").value
    except QuantityError as error:
        raise UnsuitablePart(part.name, f"states the law_temperature {shown(text)}", error.remedy) from None


def _leakage(part: Part, temperature: float) -> tuple[PartValue, float] | None:
    """The leakage at a temperature and the voltage at which it holds: typical before maximum, then largest voltage."""
    found = []
    for value in part.all("leakage"):
        voltage = _leakage_voltage(part, value)
        if voltage is not None and _holds_at(value, temperature):
            found.append((not value.spread.startswith("typical"), -voltage, -(value.value or 0.0), value))
    if not found:
        return None
    _, voltage, _, value = min(found, key=lambda one: one[:3])
    return value, -voltage


def _leakage_voltage(part: Part, value: PartValue) -> float | None:
    at = value.conditions.get("at", "rated reverse voltage")
    if at.startswith("rated reverse voltage"):
        rating = part.first("reverse_voltage_rating")
        return None if rating is None else rating.value
    stated = re.match(r"[\d.]+ V", at)
    return read_quantity(stated[0], "V").value if stated else None


def _holds_at(value: PartValue, temperature: float) -> bool:
    stated = value.condition("temperature", "°C")
    return stated is not None and abs(stated - temperature) < 1.0


def _doubling(part: Part, cool: PartValue, temperature: float) -> tuple[float, str]:
    """The rise that doubles the leakage, from the same figure at a second temperature where the table has it."""
    stated = part.first("leakage_doubling")
    if stated is not None and stated.value:
        return stated.value, stated.origin
    for warm in part.all("leakage", cool.spread):
        hotter = warm.condition("temperature", "°C")
        same = warm.conditions.get("at") == cool.conditions.get("at") and warm.spread == cool.spread
        if same and hotter and hotter > temperature + 1.0 and warm.value and cool.value and warm.value > cool.value:
            rise = (hotter - temperature) * math.log(2.0) / math.log(warm.value / cool.value)
            return rise, f"from {cool.text} at {temperature:g} °C and {warm.text} at {hotter:g} °C, {warm.provenance}"
    return LEAKAGE_DOUBLING, "10 K; common practice, no source"


def _positive(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise ValueError(f"{name} is {value:g}. Allowed: a number above zero.")


def _junction(temperature: float) -> None:
    if not COLDEST <= temperature <= HOTTEST:
        raise ValueError(
            f"A junction temperature of {temperature:g} °C was given. Allowed: {COLDEST:g} to {HOTTEST:g} °C."
        )
