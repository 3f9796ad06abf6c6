"""What an aluminium electrolytic of a given size is like when nobody has stated it: series resistance, leakage."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from railwright.parts.catalogue import find
from railwright.quantities import read_quantity

RADIAL, SNAP_IN = "general 85 °C radial", "snap-in 85 °C"
SMALLEST_ELECTROLYTIC = 1e-6  # [F] smaller ones are film or ceramic: common practice, no source
LEAKAGE_SHARE = 0.01  # [1/s] leakage over C x V: common practice, no source
LEAST_LEAKAGE = 3e-6  # [A] common practice, no source
VOLTAGE_MARGIN = 0.2  # [-] of the rating that stays unused: common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class CapacitorDefaults:
    """An electrolytic's unstated values; ``provenance`` tells how each was got."""

    esr: float  # [ohm] typical, at esr_frequency
    esr_maximum: float  # [ohm] from the largest loss factor that makers allow
    esr_frequency: float  # [Hz] basis; 100 Hz and 120 Hz are taken as the same
    leakage: float  # [A] at rated voltage
    leakage_resistance: float  # [ohm] that resistor
    provenance: Mapping[str, str] = field(default_factory=dict)


def capacitor_defaults(capacitance: float, voltage_rating: float) -> CapacitorDefaults:
    """Return series resistance and leakage of an electrolytic by its size.

    The series resistance comes from the grid of the 85 °C general-purpose radial class; above its largest case from
    that of the 85 °C snap-in class. Between two capacitances the logarithm of the resistance is drawn straight over the
    logarithm of the capacitance, between two voltages over that of the voltage. Beyond the grid's capacitances it
    falls as 1/C (the loss factor stays); beyond its voltages the outermost column is taken. The grid states the
    largest allowed value; the typical one is the class's share of it. Under 1 µF no electrolytic is meant: 0 ohm.

    The leakage is 0.01 C V, at least 3 µA, taken as a resistor at rated voltage.

    Parameters
    ----------
    capacitance : float
        [F]
    voltage_rating : float
        See :func:`usual_voltage_rating` for one that isn't stated. [V]

    Returns
    -------
    CapacitorDefaults
        [ohm], [A]; series resistance good to 30 % in the grid, and to a factor of 2 beyond.

    Raises
    ------
    ValueError
        If a value isn't a finite number greater than zero.

    Source
    ------
    the part tables (their grid is derived from makers' loss factors); leakage: common practice, no source

    >>> round(capacitor_defaults(1000e-6, 25.0).esr_maximum, 2)
    0.19
    """
    for name, value in (("capacitance", capacitance), ("voltage_rating", voltage_rating)):
        if not (math.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} is {value:g}. Allowed: a number above zero.")
    leakage = max(LEAKAGE_SHARE * capacitance * voltage_rating, LEAST_LEAKAGE)
    said = "0.01 C V, at least 3 µA, as a resistor at rated voltage; common practice, no source"
    if capacitance < SMALLEST_ELECTROLYTIC:
        maximum, typical, frequency = 0.0, 0.0, 120.0
        how = "under 1 µF: taken as film or ceramic, without series resistance; common practice, no source"
    else:
        grid = _grid(RADIAL)
        if capacitance > grid.largest(voltage_rating):
            grid = _grid(SNAP_IN)
        maximum = grid.esr(capacitance, voltage_rating)
        typical, frequency = grid.typical_share * maximum, grid.frequency
        how = f"{grid.typical_share:g} x the largest allowed; {grid.said(capacitance, voltage_rating)}"
    return CapacitorDefaults(
        esr=typical,
        esr_maximum=maximum,
        esr_frequency=frequency,
        leakage=leakage,
        leakage_resistance=voltage_rating / leakage,
        provenance={"esr": how, "leakage_resistance": said, "leakage": said},
    )


def usual_voltage_rating(voltage: float) -> float:
    """Return the voltage rating that one would buy for a capacitor that bears a voltage.

    Parameters
    ----------
    voltage : float
        The largest that it bears. [V]

    Returns
    -------
    float
        The smallest of the usual ratings that leaves a fifth of it unused; beyond 450 V the voltage with that margin
        (several in series). [V]

    Raises
    ------
    ValueError
        If the voltage isn't a finite number of zero or more.

    Source
    ------
    usual ratings: part tables; margin: common practice, no source

    >>> usual_voltage_rating(16.2)
    25.0
    """
    if not (math.isfinite(voltage) and voltage >= 0.0):
        raise ValueError(f"voltage is {voltage:g}. Allowed: zero or more.")
    needed = voltage / (1.0 - VOLTAGE_MARGIN)
    ratings = sorted(value.value for value in find("electrolytic voltage ratings").all("values") if value.value)
    return next((rating for rating in ratings if rating >= needed * (1.0 - 1e-12)), needed)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Column:
    """One voltage of a grid: capacitances in rising order, and the largest series resistance of each."""

    voltage: float  # [V]
    capacitances: tuple[float, ...]  # [F]
    resistances: tuple[float, ...]  # [ohm]

    def esr(self, capacitance: float) -> float:
        cs, rs = self.capacitances, self.resistances
        if capacitance <= cs[0]:
            return rs[0] * cs[0] / capacitance
        if capacitance >= cs[-1]:
            return rs[-1] * cs[-1] / capacitance
        k = bisect_right(cs, capacitance)
        return _between(capacitance, cs[k - 1], cs[k], rs[k - 1], rs[k])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Grid:
    """The series resistances of one class of capacitors."""

    name: str
    columns: tuple[_Column, ...]  # voltages in rising order
    typical_share: float  # [-] of the largest
    frequency: float  # [Hz]
    provenance: str

    def around(self, voltage: float) -> tuple[_Column, _Column]:
        """The columns at or below and at or above a voltage; the outermost one twice beyond them."""
        below = [column for column in self.columns if column.voltage <= voltage]
        above = [column for column in self.columns if column.voltage >= voltage]
        return (below[-1] if below else self.columns[0]), (above[0] if above else self.columns[-1])

    def largest(self, voltage: float) -> float:
        return min(column.capacitances[-1] for column in self.around(voltage))

    def esr(self, capacitance: float, voltage: float) -> float:
        low, high = self.around(voltage)
        if low.voltage == high.voltage:
            return low.esr(capacitance)
        return _between(voltage, low.voltage, high.voltage, low.esr(capacitance), high.esr(capacitance))

    def said(self, capacitance: float, voltage: float) -> str:
        low, high = self.around(voltage)
        if low is high and low.voltage != voltage:
            column = f"{low.voltage:g} V column, the nearest to {voltage:g} V"
        else:
            column = f"{low.voltage:g} V column" if low is high else f"{low.voltage:g} to {high.voltage:g} V columns"
        inside = all(c.capacitances[0] <= capacitance <= c.capacitances[-1] for c in (low, high))
        how = "between rows by logarithm" if inside else "beyond the rows as 1/C"
        return f"table of class {self.name}, {column}, {how}, {self.frequency:g} Hz; {self.provenance}"


def _between(x: float, x0: float, x1: float, y0: float, y1: float) -> float:
    """Straight line over both logarithms."""
    return y0 * math.exp(math.log(y1 / y0) * math.log(x / x0) / math.log(x1 / x0))


@cache
def _grid(name: str) -> _Grid:
    part = find(name, types=("capacitor",), wanted="class of capacitors")
    rows: dict[float, dict[float, float]] = {}
    for row in part.all("grid"):
        voltage, esr = row.condition("voltage_rating", "V"), row.condition("esr", "ohm")
        if row.value and voltage and esr:
            rows.setdefault(voltage, {})[row.value] = esr
    columns = tuple(
        _Column(
            voltage=voltage, capacitances=tuple(sorted(column)), resistances=tuple(column[c] for c in sorted(column))
        )
        for voltage, column in sorted(rows.items())
    )
    share = part.values["loss_factor_typical"][0]
    return _Grid(
        name=name,
        columns=columns,
        typical_share=float(share.text.split()[0]),  # "0.6 x the maximum"
        frequency=read_quantity(part.facts["loss_frequency"], "Hz").value,
        provenance=f"{part.values['grid'][0].provenance}; share: {share.provenance}",
    )
