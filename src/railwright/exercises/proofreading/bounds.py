"""What no rectifier of these circuits can do: one quantity above another that bounds it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """The first quantity never exceeds the second; without a second it never exceeds one."""

    lesser: str
    greater: str
    text: str
    stacked: bool = False  # whether it holds for doublers and multipliers too
    three_phase: bool = False  # whether it holds for three phases too


#: Passive circuits with diodes: the laws of energy and of the peak rectifier (definitions of peak, mean and valley).
BOUNDS: Final = (
    Bound(lesser="load_peak", greater="source_peak",
          text="The load's peak can't exceed the source's peak: diodes only take away."),
    Bound(lesser="load_mean", greater="source_peak",
          text="The mean can't exceed the source's peak: diodes only take away."),
    Bound(lesser="load_mean", greater="load_peak", stacked=True, three_phase=True,
          text="A mean can't exceed the peak of the same voltage."),
    Bound(lesser="load_valley", greater="load_peak", stacked=True, three_phase=True,
          text="The valley can't lie above the peak of the same voltage."),
    Bound(lesser="load_valley", greater="load_mean", stacked=True, three_phase=True,
          text="The valley can't lie above the mean of the same voltage."),
    Bound(lesser="load_rms", greater="load_peak", stacked=True, three_phase=True,
          text="An RMS value can't exceed the peak of the same voltage."),
    Bound(lesser="ripple_peak_to_peak", greater="load_peak", stacked=True, three_phase=True,
          text="The ripple from peak to peak can't exceed the peak: the voltage doesn't fall below zero."),
    Bound(lesser="ripple_rms", greater="ripple_peak_to_peak", stacked=True, three_phase=True,
          text="The RMS value of a ripple can't exceed its peak-to-peak value."),
    Bound(lesser="output_voltage", greater="load_peak", stacked=True, three_phase=True,
          text="A linear regulator's output can't exceed its input."),
    Bound(lesser="diode_current_mean", greater="diode_current_peak", stacked=True, three_phase=True,
          text="A mean current can't exceed the peak current."),
    Bound(lesser="diode_current_mean", greater="load_current", stacked=True, three_phase=True,
          text="A diode's mean current can't exceed the load's: all that it carries goes through the load."),
    Bound(lesser="efficiency", greater="", stacked=True, three_phase=True,
          text="An efficiency can't exceed 100 %."),
    Bound(lesser="dc_ratio", greater="", stacked=True, three_phase=True,
          text="A rectification efficiency can't exceed 100 %."),
    Bound(lesser="power_factor", greater="", stacked=True, three_phase=True,
          text="A power factor can't exceed 1."),
)  # fmt: skip
