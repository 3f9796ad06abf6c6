"""What an unfiltered rectifier asks of its winding: currents, and the use it makes of the apparent power."""

from __future__ import annotations

import math

from railwright.handbook.formula import (
    CIRCUITS_HALF_WAVE,
    Assumption,
    Example,
    Formula,
    Symbol,
    Validity,
)
from railwright.handbook.sources import HAMMOND, ON_PAPER, RASHID, WIKIPEDIA
from railwright.handbook.symbols import quantity

_LOSSES = Assumption(claim="leaves out drops, winding resistance and magnetizing current")
_RESISTIVE = Validity(sentence="Valid for a resistive load without filter and drops much smaller than the peak.")
_SMOOTH = Validity(sentence="Valid for perfectly smooth current behind a choke.")
_UTILISATION = quantity("utilisation", r"\mathrm{TUF}", "1", "DC load power over the apparent power of the title")
_WINDING = quantity("winding_current_rms", r"I_{\mathrm{ac}}", "A", "RMS current of the winding or half winding")
_DC = quantity("load_current", r"I_{\mathrm{dc}}", "A", "mean load current")
_SECONDARY = ("T1.utilisation.secondary",)
_MEAN = ("T1.utilisation.mean",)


def half_wave_utilisation() -> float:
    """Utilisation of the secondary, half-wave. [1]"""
    return 2.0 * math.sqrt(2.0) / math.pi**2


def bridge_utilisation() -> float:
    """Utilisation of secondary and primary, bridge. [1]"""
    return 8.0 / math.pi**2


def centre_tap_utilisation() -> float:
    """Utilisation of the secondary, centre-tap. [1]"""
    return 4.0 * math.sqrt(2.0) / math.pi**2


def centre_tap_utilisation_average() -> float:
    """Mean of the utilisations of primary and secondary, centre-tap. [1]"""
    return (8.0 + 4.0 * math.sqrt(2.0)) / (2.0 * math.pi**2)


def centre_tap_utilisation_of_mean() -> float:
    """DC power over the mean of primary and secondary apparent power, centre-tap. [1]"""
    return 16.0 / (math.pi**2 * (1.0 + math.sqrt(2.0)))


def half_wave_load_current(*, winding_current_rms: float) -> float:
    """DC that a winding's RMS current allows, half-wave without a filter. [A]"""
    return 2.0 / math.pi * winding_current_rms


def bridge_load_current(*, winding_current_rms: float) -> float:
    """DC that a winding's RMS current allows, bridge without a filter. [A]"""
    return 2.0 * math.sqrt(2.0) / math.pi * winding_current_rms


def centre_tap_load_current(*, winding_current_rms: float) -> float:
    """DC that the RMS current of each half winding allows, centre-tap without a filter. [A]"""
    return 4.0 / math.pi * winding_current_rms


def centre_tap_choke_load_current(*, winding_current_rms: float) -> float:
    """DC that the RMS current of each half winding allows, centre-tap with smooth current. [A]"""
    return math.sqrt(2.0) * winding_current_rms


def centre_tap_choke_load_current_as_printed(*, winding_current_rms: float) -> float:
    """DC that a maker allows a centre-tapped winding with a choke, though no current can. [A]"""
    return 1.54 * winding_current_rms


def three_phase_half_wave_rms_factor() -> float:
    """RMS of a three-pulse rectified sine over its peak. [1]"""
    return math.sqrt(0.5 + 3.0 * math.sqrt(3.0) / (8.0 * math.pi))


def three_phase_bridge_rms_factor() -> float:
    """RMS of a six-pulse rectified sine over its peak. [1]"""
    return math.sqrt(0.5 + 3.0 * math.sqrt(3.0) / (4.0 * math.pi))


def three_phase_half_wave_ripple_factor() -> float:
    """Ripple factor of a three-pulse rectified sine. [1]"""
    return math.sqrt(three_phase_half_wave_rms_factor() ** 2 * 4.0 * math.pi**2 / 27.0 - 1.0)


def three_phase_bridge_ripple_factor() -> float:
    """Ripple factor of a six-pulse rectified sine. [1]"""
    return math.sqrt(three_phase_bridge_rms_factor() ** 2 * math.pi**2 / 9.0 - 1.0)


def three_phase_half_wave_ripple(*, load_peak: float) -> float:
    """Peak-to-peak ripple behind three diodes. [V]"""
    return load_peak / 2.0


def three_phase_bridge_ripple(*, load_peak: float) -> float:
    """Peak-to-peak ripple behind six diodes. [V]"""
    return (1.0 - math.sqrt(3.0) / 2.0) * load_peak


def _constant(
    id: str, title: str, statement: str, function: object, example: Example, readings: tuple[str, ...],
    circuits: tuple[str, ...], result: Symbol = _UTILISATION, topic: str = "utilisation",
) -> Formula:  # fmt: skip
    """A circuit's own constant."""
    assert callable(function)
    return Formula(
        id=id, topic=topic, title=title, statement=statement, quantities=(), result=result, function=function,
        assumptions=(_LOSSES,), validity=_RESISTIVE, source=example.source, example=example, kind="exact law",
        readings=readings, circuits=circuits,
    )  # fmt: skip


def _current(
    id: str, title: str, statement: str, function: object, expected: float, tolerance: float, validity: Validity,
    circuits: tuple[str, ...], slip: str = "",
) -> Formula:  # fmt: skip
    """DC that a winding allows."""
    assert callable(function)
    source = HAMMOND if expected != 0.9 else ON_PAPER
    return Formula(
        id=id, topic="utilisation", title=title, statement=statement, quantities=(_WINDING,), result=_DC,
        function=function, assumptions=(_LOSSES,), validity=validity, source=source,
        example=Example(
            values={"winding_current_rms": 1.0}, expected=expected, tolerance=tolerance, source=source
        ),
        kind="rule" if slip else "exact law", circuits=circuits, slip=slip,
    )  # fmt: skip


_RMS_FACTOR = quantity("rms_factor", r"V_{\mathrm{rms}}/V_p", "1", "RMS over peak")
_RIPPLE_FACTOR = quantity("ripple_factor", r"\gamma", "1", "RMS of the ripple over the mean")
_LOAD_PEAK = quantity("load_peak", "V_p", "V", "peak voltage across the load")
_RIPPLE = quantity("ripple_peak_to_peak", "V_r", "V", "ripple, peak to peak")

FORMULAS = (
    _constant(
        "half-wave-utilisation", "Utilisation of the secondary, half-wave (0.287)",
        r"\mathrm{TUF} = \frac{2\sqrt{2}}{\pi^2}", half_wave_utilisation,
        Example(values={}, expected=0.287, tolerance=1.8e-3, source=RASHID), _SECONDARY, ("half-wave",),
    ),
    _constant(
        "bridge-utilisation", "Utilisation of the transformer, bridge (0.811)",
        r"\mathrm{TUF} = \frac{8}{\pi^2}", bridge_utilisation,
        Example(values={}, expected=0.8106, tolerance=1e-4, source=WIKIPEDIA), (*_SECONDARY, *_MEAN), ("bridge",),
    ),
    _constant(
        "centre-tap-utilisation", "Utilisation of the secondary, centre-tap (0.573)",
        r"\mathrm{TUF} = \frac{4\sqrt{2}}{\pi^2}", centre_tap_utilisation,
        Example(values={}, expected=0.573, tolerance=9e-4, source=RASHID), _SECONDARY, ("centre-tap",),
    ),
    _constant(
        "centre-tap-utilisation-average", "Mean of the two utilisations, centre-tap (0.692)",
        r"\mathrm{TUF} = \frac{8 + 4\sqrt{2}}{2\pi^2}", centre_tap_utilisation_average,
        Example(values={}, expected=0.692, tolerance=7.4e-4, source=WIKIPEDIA), (), ("centre-tap",),
    ),
    _constant(
        "centre-tap-utilisation-of-mean", "DC power over the mean of both apparent powers, centre-tap (0.672)",
        r"\mathrm{TUF} = \frac{16}{\pi^2\,(1 + \sqrt{2})}", centre_tap_utilisation_of_mean,
        # 2/(1/0.8106 + 1/0.5732).
        Example(values={}, expected=0.6715, tolerance=1e-4, source=ON_PAPER), _MEAN, ("centre-tap",),
    ),
    _current(
        "half-wave-load-current", "DC for a winding's RMS current, half-wave without filter (0.64)",
        r"I_{\mathrm{dc}} = \frac{2}{\pi} I_{\mathrm{ac}}", half_wave_load_current, 0.64, 8e-3, _RESISTIVE,
        CIRCUITS_HALF_WAVE,
    ),
    _current(
        "bridge-load-current", "DC for a winding's RMS current, bridge without filter (0.90)",
        r"I_{\mathrm{dc}} = \frac{2\sqrt{2}}{\pi} I_{\mathrm{ac}}", bridge_load_current, 0.9, 6e-4, _RESISTIVE,
        ("bridge",),
    ),
    _current(
        "centre-tap-load-current", "DC for the RMS current of each half, centre-tap without filter (1.27)",
        r"I_{\mathrm{dc}} = \frac{4}{\pi} I_{\mathrm{ac}}", centre_tap_load_current, 1.27, 4.1e-3, _RESISTIVE,
        ("centre-tap",),
    ),
    Formula(
        id="centre-tap-choke-load-current", topic="utilisation",
        title="DC for the RMS current of each half, centre-tap with smooth current (1.41)",
        statement=r"I_{\mathrm{dc}} = \sqrt{2}\,I_{\mathrm{ac}}", quantities=(_WINDING,), result=_DC,
        function=centre_tap_choke_load_current, assumptions=(_LOSSES,), validity=_SMOOTH, source=ON_PAPER,
        example=Example(values={"winding_current_rms": 1.0}, expected=1.4142, tolerance=1e-5, source=ON_PAPER),
        kind="exact law", circuits=("centre-tap",),
    ),
    _current(
        "centre-tap-choke-load-current-as-printed", "DC that a maker allows a centre-tap with a choke (1.54)",
        r"I_{\mathrm{dc}} = 1.54\,I_{\mathrm{ac}}", centre_tap_choke_load_current_as_printed, 1.54, 3.4e-3, _SMOOTH,
        ("centre-tap",),
        slip="Perfectly smooth current allows at most the square root of 2: this is at least 9 % too much.",
    ),
    _constant(
        "three-phase-half-wave-rms-factor", "RMS over peak behind three diodes (0.841)",
        r"\frac{V_{\mathrm{rms}}}{V_p} = \sqrt{\tfrac12 + \tfrac{3\sqrt3}{8\pi}}", three_phase_half_wave_rms_factor,
        Example(values={}, expected=0.84068, tolerance=1e-5, source=RASHID), (), ("three-phase-half-wave",),
        _RMS_FACTOR, "three-phase",
    ),
    _constant(
        "three-phase-bridge-rms-factor", "RMS over peak behind six diodes (0.956)",
        r"\frac{V_{\mathrm{rms}}}{V_p} = \sqrt{\tfrac12 + \tfrac{3\sqrt3}{4\pi}}", three_phase_bridge_rms_factor,
        Example(values={}, expected=0.956, tolerance=5e-4, source=RASHID), (), ("three-phase-bridge",),
        _RMS_FACTOR, "three-phase",
    ),
    _constant(
        "three-phase-half-wave-ripple-factor", "Ripple factor behind three diodes (0.183)",
        r"\gamma = \sqrt{\left(\tfrac12 + \tfrac{3\sqrt3}{8\pi}\right)\tfrac{4\pi^2}{27} - 1}",
        three_phase_half_wave_ripple_factor,
        Example(values={}, expected=0.1827, tolerance=3e-4, source=RASHID), ("load*.voltage.ripple_factor",),
        ("three-phase-half-wave",), _RIPPLE_FACTOR, "three-phase",
    ),
    _constant(
        "three-phase-bridge-ripple-factor", "Ripple factor behind six diodes (0.042)",
        r"\gamma = \sqrt{\left(\tfrac12 + \tfrac{3\sqrt3}{4\pi}\right)\tfrac{\pi^2}{9} - 1}",
        three_phase_bridge_ripple_factor,
        Example(values={}, expected=0.042, tolerance=1.2e-2, source=RASHID), ("load*.voltage.ripple_factor",),
        ("three-phase-bridge",), _RIPPLE_FACTOR, "three-phase",
    ),
    Formula(
        id="three-phase-half-wave-ripple", topic="three-phase", title="Ripple behind three diodes",
        statement=r"V_r = \frac{V_p}{2}", quantities=(_LOAD_PEAK,), result=_RIPPLE,
        function=three_phase_half_wave_ripple, assumptions=(_LOSSES,), validity=_RESISTIVE, source=ON_PAPER,
        # The next phase takes over 60 degrees after the peak, at half of it.
        example=Example(values={"load_peak": 10.0}, expected=5.0, tolerance=1e-9, source=ON_PAPER),
        kind="exact law", readings=("load*.voltage.ripple_peak_to_peak",), circuits=("three-phase-half-wave",),
    ),
    Formula(
        id="three-phase-bridge-ripple", topic="three-phase", title="Ripple behind six diodes",
        statement=r"V_r = \left(1 - \frac{\sqrt{3}}{2}\right) V_p", quantities=(_LOAD_PEAK,), result=_RIPPLE,
        function=three_phase_bridge_ripple, assumptions=(_LOSSES,), validity=_RESISTIVE, source=ON_PAPER,
        # cos 30° is 0.86603.
        example=Example(values={"load_peak": 10.0}, expected=1.3397, tolerance=4e-5, source=ON_PAPER),
        kind="exact law", readings=("load*.voltage.ripple_peak_to_peak",), circuits=("three-phase-bridge",),
    ),
)  # fmt: skip

