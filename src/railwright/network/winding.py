"""What a transformer's winding is at a model: its EMF, its ratio and the resistances that go with it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from railwright.network.network import NotSolvedYet
from railwright.supply.model import Supply, Transformer

#: [1/K] Copper's resistance above 20 °C (IEC 60028: 0.00393 at 20 °C; from memory).
COPPER_COEFFICIENT = 0.00393
#: [°C] Temperature at which resistances in ohms are stated.
STATED_AT = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WindingValues:
    """One secondary section and the primary, as a model takes them."""

    emf: float  # [V] RMS of one section at nominal mains
    ratio: float  # [-] primary winding over one section
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
        If `physical` needs a resistance that the label doesn't give.
    """
    transformer = supply.transformer
    assert transformer is not None
    stated = transformer.primary_resistance is not None or transformer.secondary_resistance is not None
    on_primary = nominal_mains(supply)
    if supply.mains.phases == 3 and transformer.connection.startswith("star"):
        on_primary /= math.sqrt(3.0)  # each primary winding stands between a line and the neutral
    emf = _emf(transformer, on_primary, "physical" if supply.unloaded else model, stated)
    ratio = on_primary / emf
    primary = section = 0.0
    if model != "ideal" and stated:
        primary, section = transformer.primary_resistance or 0.0, transformer.secondary_resistance or 0.0
        if model == "physical":
            warmth = 1.0 + COPPER_COEFFICIENT * (supply.conditions.transformer_temperature - STATED_AT)
            primary, section = primary * warmth, section * warmth
    elif model == "physical" and transformer.regulation:
        primary, section = _from_regulation(transformer, emf, ratio, supply.mains.phases)
    return WindingValues(
        emf=emf,
        ratio=ratio,
        primary_resistance=primary,
        section_resistance=section,
        leakage=0.0 if model == "ideal" else transformer.leakage_inductance,
    )


def _emf(transformer: Transformer, on_primary: float, model: str, stated: bool) -> float:
    rated, unloaded = transformer.secondary_voltage, transformer.open_voltage
    by_turns = on_primary / transformer.turns_ratio if transformer.turns_ratio else None
    if model == "physical":
        loaded = rated * (1.0 + (transformer.regulation or 0.0)) if rated is not None else None
        choices = (unloaded, loaded, by_turns)
    elif model == "textbook" and stated and unloaded is not None:
        choices = (unloaded, rated, by_turns)
    else:
        choices = (rated, unloaded, by_turns)
    return next(value for value in choices if value is not None)


def _from_regulation(transformer: Transformer, emf: float, ratio: float, phases: int) -> tuple[float, float]:
    """Primary and section resistance that give the stated regulation at rated resistive load. [ohm]

    regulation = (open - rated) / rated with every section loaded: the primary carries the currents of all of them.
    Already at working temperature.
    """
    assert transformer.regulation is not None
    sections = 1 if transformer.secondary == "single" else 2
    rated = transformer.secondary_voltage or emf / (1.0 + transformer.regulation)
    current = transformer.rated_current
    if current is None and transformer.rating is not None:
        current = transformer.rating / (sections * phases * rated)
    if current is None:
        raise NotSolvedYet(
            "The transformer's regulation gives a resistance only together with its rating or rated_current: "
            "state one of them, or the resistances, or ask for --model textbook."
        )
    total = transformer.regulation * rated / current
    primary = transformer.regulation_split * total * ratio**2 / sections
    return primary, (1.0 - transformer.regulation_split) * total
