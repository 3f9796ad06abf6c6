"""The quantities that handbook formulas share: one name, one letter, one unit, one meaning each."""

from __future__ import annotations

from railwright.handbook.formula import Domain, Symbol


def quantity(
    name: str, symbol: str, unit: str, meaning: str, domain: Domain = "positive", *, optional: bool = False
) -> Symbol:
    """A symbol in one line, for the tables of quantities below and in the formula modules."""
    return Symbol(name=name, symbol=symbol, unit=unit, meaning=meaning, domain=domain, optional=optional)


SOURCE_RMS = quantity("source_rms", r"V_{\mathrm{rms}}", "V", "RMS of the sine before the rectifier", "not negative")
SOURCE_PEAK = quantity("source_peak", "V_m", "V", "peak of the sine before the rectifier", "not negative")
SUPPLY_RMS = quantity("primary_rms", "V_1", "V", "RMS across the primary")
TURNS_RATIO = quantity("turns_ratio", "n", "1", "primary turns over secondary turns")
DIODE_DROP = quantity("diode_drop", "V_D", "V", "forward drop of one conducting diode", "not negative")
DIODES_IN_PATH = quantity("diodes_in_path", "k", "1", "diodes that the current passes in a row", "not negative")
LOAD_PEAK = quantity("load_peak", "V_p", "V", "peak voltage across load or reservoir capacitor")
LOAD_MEAN = quantity("load_mean", r"V_{\mathrm{dc}}", "V", "mean voltage across the load")
LOAD_RMS = quantity("load_rms", r"V_{\mathrm{L,rms}}", "V", "RMS of the whole load voltage, mean included")
LOAD_RESISTANCE = quantity("load_resistance", "R", r"ohm", "resistance of the load")
LOAD_CURRENT = quantity("load_current", "I", "A", "load current, taken as constant", "not negative")
CAPACITANCE = quantity("capacitance", "C", "F", "capacitance of the reservoir")
MAINS_FREQUENCY = quantity("mains_frequency", "f", "Hz", "frequency of the mains")
RECHARGE_FREQUENCY = quantity(
    "recharge_frequency", "f_r", "Hz", "charging pulses per second: twice the mains frequency for a full wave"
)
PULSES = quantity("pulses", "p", "1", "charging pulses per mains period")
DISCHARGE_TIME = quantity(
    "discharge_time", "T", "s", "time from one peak to the next: half the mains period for a full wave"
)
RIPPLE = quantity("ripple_peak_to_peak", r"V_{r}", "V", "ripple, peak to peak", "not negative")
SOME_RIPPLE = quantity("ripple_peak_to_peak", r"V_{r}", "V", "ripple, peak to peak")
RIPPLE_RMS = quantity("ripple_rms", r"V_{r,\mathrm{rms}}", "V", "RMS of the ripple, without the mean", "not negative")
OPTIONAL_PEAK = quantity(
    "load_peak", "V_p", "V", "peak voltage across the capacitor, to judge the validity", optional=True
)
