"""Instruments: readings from a solution, and the laws of meters and scopes."""

from railwright.instruments.observation import Conduction, Observation, Wave
from railwright.instruments.read import Reader, Value

__all__ = ["Conduction", "Observation", "Reader", "Value", "Wave"]
