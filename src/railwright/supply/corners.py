"""Corners: worst-case combinations of mains, load, heat and age, by the names that people say.

A corner's name lists what isn't nominal, in this order: mains low | mains high, no load, hot | cold, aged.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

from railwright.supply.errors import SheetError, SheetFault, listed, near_miss, quoted
from railwright.supply.model import Capacitor, FilterSection, Load, Loads, Supply

#: What ageing leaves of an electrolytic (from memory, long-life electrolytics' end-of-life limits).
AGED_CAPACITANCE, AGED_ESR = 0.8, 2.0

#: Each pair or group excludes its others; the first of a group is nominal.
GROUPS = (
    ("nominal", "mains low", "mains high"),
    ("full load", "no load"),
    ("cool", "hot", "cold"),
    ("new", "aged"),
)
WORDS = tuple(word for group in GROUPS for word in group if word != "cool")


def with_mains(supply: Supply, factor: float) -> Supply:
    """The supply at another mains voltage; the transformer stays the one of the label."""
    nominal = supply.nominal_mains_voltage or supply.mains.voltage_rms
    mains = dataclasses.replace(supply.mains, voltage=supply.mains.voltage * factor)
    return dataclasses.replace(supply, mains=mains, nominal_mains_voltage=nominal)


def at_corner(supply: Supply, words: str) -> Supply:
    """The supply at a corner such as "mains high, no load".

    Raises
    ------
    SheetError
        For a word that names no corner, or two that exclude each other.
    """
    chosen = [" ".join(part.split()).lower() for part in words.split(",") if part.strip()]
    _check(supply, words, chosen)
    for word in chosen:
        change = _CHANGES.get(word)
        if change is not None:
            supply = change(supply)
    return supply


def _check(supply: Supply, words: str, chosen: list[str]) -> None:
    for word in chosen:
        if word not in WORDS:
            raise _error(supply, words, f"{quoted(word)} is no corner.", near_miss(word, WORDS))
    for group in GROUPS:
        both = [word for word in group if word in chosen]
        if len(both) > 1:
            raise _error(supply, words, f"{listed(both)} exclude each other.", "Name one of them.")
    if not chosen:
        raise _error(supply, words, "no corner is named.", "Write for example mains high, no load.")


def _error(supply: Supply, words: str, problem: str, remedy: str) -> SheetError:
    return SheetError(
        [
            SheetFault(
                file=supply.origin, line="corner", key="corner", given=words, problem=problem, allowed=listed(WORDS),
                remedy=remedy,
            )
        ]
    )  # fmt: skip


def without_load(supply: Supply) -> Supply:
    """The supply with every load taken off."""
    none = Load(kind="none")
    loads = Loads(positive=none, negative=none) if supply.is_dual else Loads(single=none)
    return supply if supply.elements else dataclasses.replace(supply, loads=loads)


def _no_load(supply: Supply) -> Supply:
    """Open EMF at every model, no leakage: it may not be there."""
    filters = tuple(
        dataclasses.replace(section, leakage=0.0) if section.kind == "capacitor" else section
        for section in supply.filters
    )
    return dataclasses.replace(without_load(supply), filters=filters, unloaded=True)


def _aged_section(section: FilterSection) -> FilterSection:
    if section.kind != "capacitor":
        return section
    loss = section.loss_factor
    return dataclasses.replace(
        section,
        value=AGED_CAPACITANCE * section.value,
        esr=None if section.esr is None else AGED_ESR * section.esr,
        # The loss factor is of the whole capacitor: twice the resistance of less capacitance.
        loss_factor=None if loss is None else AGED_ESR * AGED_CAPACITANCE * loss,
    )


def _aged_capacitor(capacitor: Capacitor | None) -> Capacitor | None:
    if capacitor is None:
        return None
    esr = None if capacitor.esr is None else AGED_ESR * capacitor.esr
    return dataclasses.replace(capacitor, capacitance=AGED_CAPACITANCE * capacitor.capacitance, esr=esr)


def _aged(supply: Supply) -> Supply:
    rectifier = dataclasses.replace(
        supply.rectifier,
        pump_capacitor=_aged_capacitor(supply.rectifier.pump_capacitor),
        stage_capacitor=_aged_capacitor(supply.rectifier.stage_capacitor),
    )
    return dataclasses.replace(
        supply, filters=tuple(_aged_section(section) for section in supply.filters), rectifier=rectifier
    )


def _at_ambient(supply: Supply, ambient: float) -> Supply:
    return dataclasses.replace(supply, conditions=dataclasses.replace(supply.conditions, ambient=ambient))


_CHANGES: dict[str, Callable[[Supply], Supply]] = {
    "no load": _no_load,
    "mains low": lambda supply: with_mains(supply, 1.0 - supply.mains.tolerance.minus),
    "mains high": lambda supply: with_mains(supply, 1.0 + supply.mains.tolerance.plus),
    "hot": lambda supply: _at_ambient(supply, max(supply.conditions.ambient_range)),
    "cold": lambda supply: _at_ambient(supply, min(supply.conditions.ambient_range)),
    "aged": _aged,
}
