"""What a transformer's winding is at a model: its EMF, its ratio and the resistances that go with it."""

from __future__ import annotations

from dataclasses import dataclass

from railwright.network.network import NotSolvedYet
from railwright.supply.model import Supply, Transformer

#: [1/K] Copper's resistance above 20 °C (IEC 60028: 0.00393 at 20 °C).
COPPER_COEFFICIENT = 0.00393


@dataclass(frozen=True, slots=True, kw_only=True)
class WindingValues:
    """One secondary section and the primary, as a model takes them."""

    emf: float  # [V] RMS of one section at nominal mains
    ratio: float  # [-] primary over one section
    primary_resistance: float  # [ohm]
    section_resistance: float  # [ohm]
    leakage: float  # [H] in series with one section


def nominal_mains(supply: Supply) -> float:
    """Mains voltage that the transformer's label refers to: a fault of the mains doesn't change the turns. [V]"""
    return supply.nominal_mains_voltage if supply.nominal_mains_voltage is not None else supply.mains.voltage_rms


def winding_values(supply: Supply, model: str) -> WindingValues:
    """EMF, ratio and resistances of the transformer at `model` (`ideal`, `textbook`, `physical`).

    Raises
    ------
    NotSolvedYet
        If the sheet states none of the voltages that fix the EMF.
    """
    transformer = supply.transformer
    assert transformer is not None
    stated = transformer.primary_resistance is not None or transformer.secondary_resistance is not None
    mains = nominal_mains(supply)
    emf = _emf(transformer, mains, model, stated)
    primary = section = 0.0
    if model != "ideal":
        primary, section = transformer.primary_resistance or 0.0, transformer.secondary_resistance or 0.0
    if model == "physical":
        if stated:
            warmth = 1.0 + COPPER_COEFFICIENT * (supply.conditions.transformer_temperature - 20.0)
            primary, section = primary * warmth, section * warmth
        elif transformer.regulation is not None:
            raise NotSolvedYet("Resistances that follow from a transformer's regulation are not solved yet.")
    return WindingValues(
        emf=emf,
        ratio=mains / emf,
        primary_resistance=primary,
        section_resistance=section,
        leakage=0.0 if model == "ideal" else transformer.leakage_inductance,
    )


def _emf(transformer: Transformer, mains: float, model: str, stated: bool) -> float:
    rated, unloaded = transformer.secondary_voltage, transformer.open_voltage
    by_turns = mains / transformer.turns_ratio if transformer.turns_ratio else None
    if model == "physical":
        loaded = rated * (1.0 + (transformer.regulation or 0.0)) if rated is not None else None
        choices = (unloaded, loaded, by_turns)
    elif model == "textbook" and stated and unloaded is not None:
        choices = (unloaded, rated, by_turns)
    else:
        choices = (rated, unloaded, by_turns)
    return next(value for value in choices if value is not None)
