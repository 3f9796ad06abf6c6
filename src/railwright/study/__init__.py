"""The conductor: solve once, measure, apply the handbook, pair the columns, say why they differ."""

from railwright.study.discharge import Discharge, discharge
from railwright.study.start_up import StartUp, start_up
from railwright.study.steady import (
    MODELS,
    ConductionInterval,
    Readings,
    Study,
    Waveform,
    read_sheet,
    read_text,
    solve,
)

__all__ = [
    "MODELS",
    "ConductionInterval",
    "Discharge",
    "Readings",
    "StartUp",
    "Study",
    "Waveform",
    "discharge",
    "read_sheet",
    "read_text",
    "solve",
    "start_up",
]
