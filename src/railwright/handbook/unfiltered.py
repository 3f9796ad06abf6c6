"""A rectifier without a capacitor: what the load sees of each half-cycle."""

from __future__ import annotations

import math

from railwright.handbook.drawn import drawn_current, drawn_in_words
from railwright.handbook.formula import (
    CIRCUITS_ALL,
    CIRCUITS_FULL_WAVE,
    CIRCUITS_HALF_WAVE,
    CIRCUITS_SINGLE_PHASE,
    CIRCUITS_THREE_PHASE,
    Assumption,
    Example,
    Formula,
    Symbol,
    Validity,
    Values,
)
from railwright.handbook.sources import (
    ARMY,
    BIMBHRA_BRIDGE,
    DEFINITION,
    MEHTA_RESISTANCE,
    ON_PAPER,
    RASHID,
    WIKIPEDIA,
    bell,
    floyd,
    grob,
    kakani,
    neamen,
)
from railwright.handbook.symbols import (
    DIODE_DROP,
    DIODES_IN_PATH,
    LOAD_MEAN,
    LOAD_PEAK,
    LOAD_RESISTANCE,
    LOAD_RMS,
    MAINS_FREQUENCY,
    PULSES,
    RIPPLE_RMS,
    SOURCE_PEAK,
    SOURCE_RMS,
    quantity,
)

RIPPLE_FREQUENCY = quantity("ripple_frequency", "f_r", "Hz", "frequency of the ripple")
FORM_FACTOR = quantity("form_factor", "F", "1", "RMS over mean")
RIPPLE_FACTOR = quantity("ripple_factor", r"\gamma", "1", "RMS of the ripple over the mean", "not negative")
DC_RATIO = quantity("dc_ratio", r"\eta_r", "1", "DC load power over the AC power that goes in")
CURRENT = quantity("load_current_mean", r"I_{\mathrm{dc}}", "A", "mean load current", "not negative")
CURRENT_PEAK = quantity("load_current_peak", r"I_p", "A", "peak load current", "not negative")
POWER = quantity("power", "P", "W", "power into the load", "not negative")

_LOSSES = Assumption(claim="leaves out the resistance of winding and diodes")
_NO_DEAD_TIME = "lets the diodes conduct from one zero crossing to the next"
_RESISTIVE = Validity(sentence="Valid for a resistive load without any filter part.")
_PEAK_ABOVE_DROPS = "the source's peak stays below the diode drops, so that nothing reaches the load"


def _dead_angle(drops: float, source_peak: float) -> float:
    """Angle from the zero crossing to the moment when the sine exceeds the drops. [rad]"""
    if drops >= source_peak:
        raise ValueError(f"drops of {drops:g} V, source peak {source_peak:g} V: {_PEAK_ABOVE_DROPS}.")
    return math.asin(drops / source_peak)


def load_peak_less_drops(*, source_peak: float, diode_drop: float, diodes_in_path: float) -> float:
    """Peak of the load voltage: source peak less the drops of the conducting diodes. [V]

    Raises ValueError where the drops exceed the source's peak.
    """
    drops = diode_drop * diodes_in_path
    if drops >= source_peak:
        raise ValueError(f"drops of {drops:g} V, source peak {source_peak:g} V: {_PEAK_ABOVE_DROPS}.")
    return source_peak - drops


def source_peak_for_load_peak(*, load_peak: float, diode_drop: float, diodes_in_path: float) -> float:
    """Peak that the source must have for a wanted load peak. [V]"""
    return load_peak + diode_drop * diodes_in_path


def half_wave_mean(*, load_peak: float) -> float:
    """Mean of a half-wave rectified sine. [V]"""
    return load_peak / math.pi


def full_wave_mean(*, load_peak: float) -> float:
    """Mean of a full-wave rectified sine. [V]"""
    return 2.0 * load_peak / math.pi


def half_wave_mean_from_rms(*, source_rms: float) -> float:
    """Mean of a half-wave rectified sine from the RMS of the source, no drop. [V]"""
    return math.sqrt(2.0) / math.pi * source_rms


def full_wave_mean_from_rms(*, source_rms: float) -> float:
    """Mean of a full-wave rectified sine from the RMS of the source, no drop. [V]"""
    return 2.0 * math.sqrt(2.0) / math.pi * source_rms


def half_wave_mean_dead_time(*, source_peak: float, diode_drop: float, diodes_in_path: float) -> float:
    """Exact mean of a half-wave rectified sine behind constant drops. [V]"""
    drops = diode_drop * diodes_in_path
    dead = _dead_angle(drops, source_peak)
    return (source_peak * math.cos(dead) - drops * (math.pi / 2.0 - dead)) / math.pi


def full_wave_mean_dead_time(*, source_peak: float, diode_drop: float, diodes_in_path: float) -> float:
    """Exact mean of a full-wave rectified sine behind constant drops. [V]"""
    return 2.0 * half_wave_mean_dead_time(
        source_peak=source_peak, diode_drop=diode_drop, diodes_in_path=diodes_in_path
    )


def half_wave_rms(*, load_peak: float) -> float:
    """RMS of a half-wave rectified sine. [V]"""
    return load_peak / 2.0


def full_wave_rms(*, load_peak: float) -> float:
    """RMS of a full-wave rectified sine. [V]"""
    return load_peak / math.sqrt(2.0)


def _mean_square_dead_time(source_peak: float, drops: float) -> float:
    """Exact mean square of one half-cycle's hump over the whole period, behind constant drops. [V²]"""
    dead = _dead_angle(drops, source_peak)
    return (
        source_peak**2 * ((math.pi - 2.0 * dead) / 2.0 + math.sin(2.0 * dead) / 2.0)
        - 4.0 * source_peak * drops * math.cos(dead)
        + drops**2 * (math.pi - 2.0 * dead)
    ) / (2.0 * math.pi)


def half_wave_rms_dead_time(*, source_peak: float, diode_drop: float, diodes_in_path: float) -> float:
    """Exact RMS of a half-wave rectified sine behind constant drops. [V]"""
    return math.sqrt(_mean_square_dead_time(source_peak, diode_drop * diodes_in_path))


def full_wave_rms_dead_time(*, source_peak: float, diode_drop: float, diodes_in_path: float) -> float:
    """Exact RMS of a full-wave rectified sine behind constant drops. [V]"""
    return math.sqrt(2.0 * _mean_square_dead_time(source_peak, diode_drop * diodes_in_path))


def form_factor(*, load_rms: float, load_mean: float) -> float:
    """RMS over mean. [1]"""
    return load_rms / load_mean


def half_wave_form_factor() -> float:
    """Form factor of a half-wave rectified sine. [1]"""
    return math.pi / 2.0


def full_wave_form_factor() -> float:
    """Form factor of a full-wave rectified sine. [1]"""
    return math.pi / (2.0 * math.sqrt(2.0))


def ripple_factor_from_form_factor(*, form_factor: float) -> float:
    """Ripple factor, RMS of the ripple over the mean, from the form factor. [1] Raises ValueError below 1."""
    if form_factor < 1.0:
        raise ValueError(f"a form factor of {form_factor:g} can't be: the RMS is never below the mean. Check both.")
    return math.sqrt(form_factor**2 - 1.0)


def half_wave_ripple_factor() -> float:
    """Ripple factor of a half-wave rectified sine. [1]"""
    return math.sqrt(math.pi**2 / 4.0 - 1.0)


def full_wave_ripple_factor() -> float:
    """Ripple factor of a full-wave rectified sine. [1]"""
    return math.sqrt(math.pi**2 / 8.0 - 1.0)


def half_wave_dc_ratio() -> float:
    """DC load power over AC power into the load, half-wave. [1]"""
    return 4.0 / math.pi**2


def full_wave_dc_ratio() -> float:
    """DC load power over AC power into the load, full-wave. [1]"""
    return 8.0 / math.pi**2


def ripple_rms_from_rms_and_mean(*, load_rms: float, load_mean: float) -> float:
    """RMS of the ripple alone. [V] Raises ValueError where the mean exceeds the RMS."""
    if load_mean > load_rms:
        raise ValueError(f"a mean of {load_mean:g} V above an RMS of {load_rms:g} V can't be. Check both.")
    return math.sqrt((load_rms - load_mean) * (load_rms + load_mean))


def unfiltered_ripple(*, load_peak: float) -> float:
    """Peak-to-peak ripple without a filter: the load voltage falls to zero. [V]"""
    return load_peak


def ripple_frequency(*, mains_frequency: float, pulses: float) -> float:
    """Frequency of the ripple. [Hz]"""
    return mains_frequency * pulses


def load_current_of_mean(*, load_mean: float, load_resistance: float) -> float:
    """Mean current of a resistive load. [A]"""
    return load_mean / load_resistance


def load_current_of_peak(*, load_peak: float, load_resistance: float) -> float:
    """Current of a resistive load at the peak of its voltage. [A]"""
    return load_peak / load_resistance


def load_power_dc(*, load_mean: float, load_resistance: float) -> float:
    """DC power of a resistive load: mean voltage times mean current. [W]"""
    return load_mean**2 / load_resistance


def load_power_mean(*, load_rms: float, load_resistance: float) -> float:
    """Power that heats a resistive load. [W]"""
    return load_rms**2 / load_resistance


def input_power_from_dc_ratio(*, power_dc: float, dc_ratio: float) -> float:
    """AC power that goes in for a wanted DC load power. [W]"""
    return power_dc / dc_ratio


def diode_mean_current(*, load_current_mean: float, diodes_taking_turns: float) -> float:
    """Mean current of one diode, over the whole period. [A]"""
    return load_current_mean / diodes_taking_turns


def diode_angle_dead_time(*, source_peak: float, diode_drop: float, diodes_in_path: float) -> float:
    """Conduction angle of one diode without a filter. [deg]"""
    return 180.0 - 2.0 * math.degrees(_dead_angle(diode_drop * diodes_in_path, source_peak))


def rectifier_angle_dead_time(
    *, source_peak: float, diode_drop: float, diodes_in_path: float, pulses: float
) -> float:
    """Angle per mains period with any diode on, without a filter, one or two pulses. [deg]"""
    return pulses * diode_angle_dead_time(
        source_peak=source_peak, diode_drop=diode_drop, diodes_in_path=diodes_in_path
    )


def three_phase_half_wave_mean(*, load_peak: float) -> float:
    """Mean of a three-pulse rectified sine. [V]"""
    return 3.0 * math.sqrt(3.0) / (2.0 * math.pi) * load_peak


def three_phase_bridge_mean(*, load_peak: float) -> float:
    """Mean of a six-pulse rectified sine, from its own (line) peak. [V]"""
    return 3.0 / math.pi * load_peak


def three_phase_half_wave_mean_from_rms(*, phase_rms: float) -> float:
    """Mean behind three diodes from the RMS of a phase, no drop. [V]"""
    return 3.0 * math.sqrt(6.0) / (2.0 * math.pi) * phase_rms


def three_phase_bridge_mean_from_rms(*, phase_rms: float) -> float:
    """Mean behind six diodes from the RMS of a phase, no drop. [V]"""
    return 3.0 * math.sqrt(6.0) / math.pi * phase_rms


def three_phase_bridge_mean_from_line_rms(*, line_rms: float) -> float:
    """Mean behind six diodes from the RMS between two lines, no drop. [V]"""
    return 3.0 * math.sqrt(2.0) / math.pi * line_rms


def line_peak(*, source_peak: float) -> float:
    """Peak between two lines of a symmetrical three-phase source. [V]"""
    return math.sqrt(3.0) * source_peak


def _exactly(humps: float, root: bool = False) -> Assumption:
    """The dead-time assumption, lifted by the exact law for one or two humps a period."""

    def relaxed(givens: Values, facts: Values) -> float:
        source, drops = facts["source_peak"], facts["diode_drop"] * facts["diodes_in_path"]
        if root:
            return math.sqrt(humps * _mean_square_dead_time(source, drops))
        return humps * half_wave_mean_dead_time(source_peak=source, diode_drop=drops, diodes_in_path=1.0)

    def instead(givens: Values, facts: Values) -> str:
        dead = math.degrees(_dead_angle(facts["diode_drop"] * facts["diodes_in_path"], facts["source_peak"]))
        return f"here they stay off for the {dead:.1f} degrees on each side of a crossing in which the drops win"

    return Assumption(claim=_NO_DEAD_TIME, relaxed=relaxed, instead=instead)


def _peak_without_loss(givens: Values, facts: Values) -> float:
    return _loaded(givens, facts) - givens["diode_drop"] * givens["diodes_in_path"]


def _loaded(givens: Values, facts: Values) -> float:
    """Peak of the loaded winding; where two phases in a row feed the load, as much larger as by hand. [V]"""
    return abs(facts["source.voltage.peak"]) * givens["source_peak"] / facts.get("source_peak", givens["source_peak"])


def _loaded_peak(givens: Values, facts: Values) -> str:
    loaded = _loaded(givens, facts)
    return f"here the loaded winding reaches {loaded:.4g} V, not {givens['source_peak']:.4g} V"


_MEANS = ("load*.voltage.mean",)
_RMS = ("load*.voltage.rms",)
_DROPS = (SOURCE_PEAK, DIODE_DROP, DIODES_IN_PATH)
_DEAD_TIME = Validity(sentence="Exact for constant drops, a stiff sine and a resistive load without filter.")
_RATIOS = Validity(sentence="Valid for a resistive load without filter and drops much smaller than the peak.")
_NO_DROPS = Assumption(claim="leaves out the drops of the diodes")
_GROB_DEAD = {"source_peak": 40.0 * math.sqrt(2.0), "diode_drop": 0.7}


def _constant(
    id: str, title: str, statement: str, result: Symbol, function: object, expected: float, tolerance: float,
    readings: tuple[str, ...], circuits: tuple[str, ...],
) -> Formula:  # fmt: skip
    """A circuit's own constant: a formula without any quantity."""
    assert callable(function)
    return Formula(
        id=id,
        topic="unfiltered",
        title=title,
        statement=statement,
        quantities=(),
        result=result,
        function=function,
        assumptions=(Assumption(claim=_NO_DEAD_TIME), _LOSSES),
        validity=_RATIOS,
        source=RASHID,
        example=Example(values={}, expected=expected, tolerance=tolerance, source=RASHID),
        kind="exact law",
        readings=readings,
        circuits=circuits,
    )


FORMULAS = (
    Formula(
        id="load-peak-less-drops",
        topic="unfiltered",
        title="Load peak: source peak less the diode drops",
        statement=r"V_p = V_m - k\,V_D",
        quantities=_DROPS,
        result=LOAD_PEAK,
        function=load_peak_less_drops,
        assumptions=(
            Assumption(
                claim="takes the winding's unloaded peak",
                relaxed=_peak_without_loss,
                instead=_loaded_peak,
            ),
            Assumption(claim="gives each diode the same drop at every current"),
        ),
        validity=Validity(
            sentence="Valid where the source's peak is well above the drops and the charging current is moderate.",
            condition=lambda values: values["source_peak"] > 2.0 * values["diode_drop"] * values["diodes_in_path"],
        ),
        source=floyd("Ex. 2.6, p. 54"),
        example=Example(
            values={"source_peak": 16.97, "diode_drop": 0.7, "diodes_in_path": 2.0},
            expected=15.57,
            tolerance=4e-4,
            source=floyd("Ex. 2.6, p. 54"),
        ),
        # Without a load a reservoir keeps its peak.
        readings=("load*.voltage.peak", "C*.voltage.peak", "U*.input.voltage.peak", "load.voltage.no_load_mean"),
        circuits=(*CIRCUITS_SINGLE_PHASE, *CIRCUITS_THREE_PHASE, "full-wave-doubler"),
    ),
    Formula(
        id="source-peak-for-load-peak",
        topic="unfiltered",
        title="Source peak for a wanted load peak",
        statement=r"V_m = V_p + k\,V_D",
        quantities=(LOAD_PEAK, DIODE_DROP, DIODES_IN_PATH),
        result=SOURCE_PEAK,
        function=source_peak_for_load_peak,
        assumptions=(_LOSSES, Assumption(claim="gives each diode the same drop at every current")),
        validity=Validity(sentence="Valid for moderate charging currents."),
        source=neamen("Ex. 2.1, p. 55"),
        example=Example(
            values={"load_peak": 9.0, "diode_drop": 0.7, "diodes_in_path": 2.0},
            expected=10.4,
            tolerance=5e-3,
            source=neamen("Ex. 2.1, p. 55"),
        ),
        undoes="load-peak-less-drops",
    ),
    Formula(
        id="half-wave-mean",
        topic="unfiltered",
        title="Mean of a half-wave rectified sine (0.318 of the peak)",
        statement=r"V_{\mathrm{dc}} = \frac{V_p}{\pi}",
        quantities=(LOAD_PEAK,),
        result=LOAD_MEAN,
        function=half_wave_mean,
        assumptions=(_exactly(1.0), _LOSSES),
        validity=_RESISTIVE,
        source=ARMY,
        example=Example(
            values={"load_peak": 40.0 / 0.7071 - 0.7},
            expected=17.76,
            tolerance=2e-3,
            source=grob("Ex. 27-4, p. 875"),
        ),
        readings=_MEANS,
        circuits=CIRCUITS_HALF_WAVE,
    ),
    Formula(
        id="full-wave-mean",
        topic="unfiltered",
        title="Mean of a full-wave rectified sine (0.637 of the peak)",
        statement=r"V_{\mathrm{dc}} = \frac{2 V_p}{\pi}",
        quantities=(LOAD_PEAK,),
        result=LOAD_MEAN,
        function=full_wave_mean,
        assumptions=(_exactly(2.0), _LOSSES),
        validity=_RESISTIVE,
        source=grob("Ex. 27-6, p. 880"),
        example=Example(
            values={"load_peak": 40.0 / 0.7071 - 1.4},
            expected=35.08,
            tolerance=2e-3,
            source=grob("Ex. 27-6, p. 880"),
        ),
        readings=_MEANS,
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="half-wave-mean-from-rms",
        topic="unfiltered",
        title="Mean of a half-wave rectified sine from the source's RMS (0.45)",
        statement=r"V_{\mathrm{dc}} = \frac{\sqrt{2}}{\pi} V_{\mathrm{rms}} = 0.45\,V_{\mathrm{rms}}",
        quantities=(SOURCE_RMS,),
        result=LOAD_MEAN,
        function=half_wave_mean_from_rms,
        assumptions=(_NO_DROPS, _LOSSES),
        validity=_RATIOS,
        source=ON_PAPER,
        example=Example(values={"source_rms": 1.0}, expected=0.45, tolerance=1.2e-2, source=ON_PAPER),
        readings=_MEANS,
        circuits=CIRCUITS_HALF_WAVE,
    ),
    Formula(
        id="full-wave-mean-from-rms",
        topic="unfiltered",
        title="Mean of a full-wave rectified sine from the source's RMS (0.9)",
        statement=r"V_{\mathrm{dc}} = \frac{2\sqrt{2}}{\pi} V_{\mathrm{rms}} = 0.9\,V_{\mathrm{rms}}",
        quantities=(SOURCE_RMS,),
        result=LOAD_MEAN,
        function=full_wave_mean_from_rms,
        assumptions=(_NO_DROPS, _LOSSES),
        validity=_RATIOS,
        source=ON_PAPER,
        example=Example(values={"source_rms": 1.0}, expected=0.9, tolerance=6e-3, source=ON_PAPER),
        readings=_MEANS,
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="half-wave-mean-dead-time",
        topic="unfiltered",
        title="Mean of a half-wave rectified sine, dead time counted",
        statement=r"V_{\mathrm{dc}} = \frac{1}{\pi}\left(V_m\cos\theta - kV_D\left(\tfrac{\pi}{2}-\theta\right)\right),"
        r"\quad \theta = \arcsin\frac{kV_D}{V_m}",
        quantities=_DROPS,
        result=LOAD_MEAN,
        function=half_wave_mean_dead_time,
        assumptions=(_LOSSES,),
        validity=_DEAD_TIME,
        source=ON_PAPER,
        example=Example(
            values={**_GROB_DEAD, "diodes_in_path": 1.0}, expected=17.658, tolerance=4e-5, source=ON_PAPER
        ),
        kind="exact law",
        readings=_MEANS,
        circuits=CIRCUITS_HALF_WAVE,
    ),
    Formula(
        id="full-wave-mean-dead-time",
        topic="unfiltered",
        title="Mean of a full-wave rectified sine, dead time counted",
        statement=r"V_{\mathrm{dc}} = \frac{2}{\pi}\left(V_m\cos\theta - kV_D\left(\tfrac{\pi}{2}-\theta\right)\right),"
        r"\quad \theta = \arcsin\frac{kV_D}{V_m}",
        quantities=_DROPS,
        result=LOAD_MEAN,
        function=full_wave_mean_dead_time,
        assumptions=(_LOSSES,),
        validity=_DEAD_TIME,
        source=ON_PAPER,
        example=Example(
            values={**_GROB_DEAD, "diodes_in_path": 2.0}, expected=34.624, tolerance=2e-5, source=ON_PAPER
        ),
        kind="exact law",
        readings=_MEANS,
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="half-wave-rms",
        topic="unfiltered",
        title="RMS of a half-wave rectified sine",
        statement=r"V_{\mathrm{L,rms}} = \frac{V_p}{2}",
        quantities=(LOAD_PEAK,),
        result=LOAD_RMS,
        function=half_wave_rms,
        assumptions=(_exactly(1.0, root=True), _LOSSES),
        validity=_RESISTIVE,
        source=RASHID,
        example=Example(values={"load_peak": 1.0}, expected=0.5, tolerance=1e-9, source=RASHID),
        readings=_RMS,
        circuits=CIRCUITS_HALF_WAVE,
    ),
    Formula(
        id="full-wave-rms",
        topic="unfiltered",
        title="RMS of a full-wave rectified sine",
        statement=r"V_{\mathrm{L,rms}} = \frac{V_p}{\sqrt{2}}",
        quantities=(LOAD_PEAK,),
        result=LOAD_RMS,
        function=full_wave_rms,
        assumptions=(_exactly(2.0, root=True), _LOSSES),
        validity=_RESISTIVE,
        source=RASHID,
        example=Example(values={"load_peak": 1.0}, expected=0.707, tolerance=7.1e-4, source=RASHID),
        readings=_RMS,
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="half-wave-rms-dead-time",
        topic="unfiltered",
        title="RMS of a half-wave rectified sine, dead time counted",
        statement=r"V_{\mathrm{L,rms}}^2 = \frac{1}{2\pi}\left[V_m^2\left(\tfrac{\pi-2\theta}{2}"
        r"+\tfrac{\sin 2\theta}{2}\right) - 4V_m kV_D\cos\theta + (kV_D)^2(\pi-2\theta)\right]",
        quantities=_DROPS,
        result=LOAD_RMS,
        function=half_wave_rms_dead_time,
        assumptions=(_LOSSES,),
        validity=_DEAD_TIME,
        source=ON_PAPER,
        # A drop of half the peak: theta = 30 degrees, and the bracket is pi/3 + sqrt(3)/4 - sqrt(3) + pi/6.
        example=Example(
            values={"source_peak": 1.0, "diode_drop": 0.5, "diodes_in_path": 1.0},
            expected=math.sqrt((math.pi / 2.0 - 0.75 * math.sqrt(3.0)) / (2.0 * math.pi)),
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        kind="exact law",
        readings=_RMS,
        circuits=CIRCUITS_HALF_WAVE,
    ),
    Formula(
        id="full-wave-rms-dead-time",
        topic="unfiltered",
        title="RMS of a full-wave rectified sine, dead time counted",
        statement=r"V_{\mathrm{L,rms}}^2 = \frac{1}{\pi}\left[V_m^2\left(\tfrac{\pi-2\theta}{2}"
        r"+\tfrac{\sin 2\theta}{2}\right) - 4V_m kV_D\cos\theta + (kV_D)^2(\pi-2\theta)\right]",
        quantities=_DROPS,
        result=LOAD_RMS,
        function=full_wave_rms_dead_time,
        assumptions=(_LOSSES,),
        validity=_DEAD_TIME,
        source=ON_PAPER,
        example=Example(
            values={"source_peak": 1.0, "diode_drop": 0.25, "diodes_in_path": 2.0},
            expected=math.sqrt((math.pi / 2.0 - 0.75 * math.sqrt(3.0)) / math.pi),
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        kind="exact law",
        readings=_RMS,
        circuits=CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="form-factor",
        topic="unfiltered",
        title="Form factor",
        statement=r"F = \frac{V_{\mathrm{L,rms}}}{V_{\mathrm{dc}}}",
        quantities=(LOAD_RMS, LOAD_MEAN),
        result=FORM_FACTOR,
        function=form_factor,
        assumptions=(),
        validity=Validity(
            sentence="Valid for every waveform; it is never below 1.",
            condition=lambda values: values["load_rms"] >= values["load_mean"],
        ),
        source=DEFINITION,
        example=Example(
            values={"load_rms": 0.5, "load_mean": 0.318}, expected=1.57, tolerance=3.2e-3, source=RASHID
        ),
        kind="exact law",
        readings=("load*.voltage.form_factor",),
    ),
    _constant(
        "half-wave-form-factor", "Form factor of a half wave", r"F = \frac{\pi}{2}", FORM_FACTOR,
        half_wave_form_factor, 1.57, 3.2e-3, ("load*.voltage.form_factor",), CIRCUITS_HALF_WAVE,
    ),
    _constant(
        "full-wave-form-factor", "Form factor of a full wave", r"F = \frac{\pi}{2\sqrt{2}}", FORM_FACTOR,
        full_wave_form_factor, 1.11, 4.6e-3, ("load*.voltage.form_factor",), CIRCUITS_FULL_WAVE,
    ),
    _constant(
        "half-wave-ripple-factor", "Ripple factor of a half wave (1.21)",
        r"\gamma = \sqrt{\tfrac{\pi^2}{4} - 1}", RIPPLE_FACTOR,
        half_wave_ripple_factor, 1.21, 4.2e-3, ("load*.voltage.ripple_factor",), CIRCUITS_HALF_WAVE,
    ),
    _constant(
        "full-wave-ripple-factor", "Ripple factor of a full wave (0.483)",
        r"\gamma = \sqrt{\tfrac{\pi^2}{8} - 1}", RIPPLE_FACTOR,
        full_wave_ripple_factor, 0.483, 1.1e-3, ("load*.voltage.ripple_factor",), CIRCUITS_FULL_WAVE,
    ),
    _constant(
        "half-wave-dc-ratio", "Rectification efficiency of a half wave (0.405)",
        r"\eta_r = \frac{4}{\pi^2}", DC_RATIO,
        half_wave_dc_ratio, 0.405, 1.3e-3, ("rectifier.power.dc_ratio",), CIRCUITS_HALF_WAVE,
    ),
    _constant(
        "full-wave-dc-ratio", "Rectification efficiency of a full wave (0.811)",
        r"\eta_r = \frac{8}{\pi^2}", DC_RATIO,
        full_wave_dc_ratio, 0.811, 7e-4, ("rectifier.power.dc_ratio",), CIRCUITS_FULL_WAVE,
    ),
    Formula(
        id="ripple-factor-from-form-factor",
        topic="unfiltered",
        title="Ripple factor from the form factor",
        statement=r"\gamma = \sqrt{F^2 - 1}",
        quantities=(FORM_FACTOR,),
        result=RIPPLE_FACTOR,
        function=ripple_factor_from_form_factor,
        assumptions=(),
        validity=Validity(sentence="Valid for every waveform."),
        source=WIKIPEDIA,
        example=Example(values={"form_factor": 1.57}, expected=1.21, tolerance=4.2e-3, source=RASHID),
        kind="exact law",
        readings=("load*.voltage.ripple_factor",),
    ),
    Formula(
        id="ripple-rms-from-rms-and-mean",
        topic="unfiltered",
        title="RMS of the ripple from RMS and mean",
        statement=r"V_{r,\mathrm{rms}} = \sqrt{V_{\mathrm{L,rms}}^2 - V_{\mathrm{dc}}^2}",
        quantities=(LOAD_RMS, LOAD_MEAN),
        result=RIPPLE_RMS,
        function=ripple_rms_from_rms_and_mean,
        assumptions=(Assumption(claim="takes RMS and mean from their own formulas"),),
        validity=Validity(sentence="Valid for every waveform."),
        source=WIKIPEDIA,
        example=Example(values={"load_rms": 5.0, "load_mean": 4.0}, expected=3.0, tolerance=1e-9, source=ON_PAPER),
        kind="exact law",
        readings=("load*.voltage.ripple_rms",),
    ),
    Formula(
        id="unfiltered-ripple",
        topic="unfiltered",
        title="Peak-to-peak ripple without a filter",
        statement=r"V_r = V_p",
        quantities=(LOAD_PEAK,),
        result=quantity("ripple_peak_to_peak", "V_r", "V", "ripple, peak to peak"),
        function=unfiltered_ripple,
        assumptions=(_LOSSES,),
        validity=_RESISTIVE,
        source=DEFINITION,
        example=Example(values={"load_peak": 15.57}, expected=15.57, tolerance=1e-9, source=DEFINITION),
        kind="exact law",
        readings=("load*.voltage.ripple_peak_to_peak",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="ripple-frequency",
        topic="unfiltered",
        title="Ripple frequency",
        statement=r"f_r = p f",
        quantities=(MAINS_FREQUENCY, PULSES),
        result=RIPPLE_FREQUENCY,
        function=ripple_frequency,
        assumptions=(Assumption(claim="takes all pulses of a period as equal"),),
        validity=Validity(sentence="Valid while every diode works."),
        source=grob("Ex. 27-6, p. 880"),
        example=Example(
            values={"mains_frequency": 60.0, "pulses": 2.0},
            expected=120.0,
            tolerance=1e-9,
            source=grob("Ex. 27-6, p. 880"),
        ),
        kind="exact law",
        readings=("*.voltage.ripple_frequency",),
    ),
    Formula(
        id="load-current-of-mean",
        topic="unfiltered",
        title="Mean current of a resistive load",
        statement=r"I_{\mathrm{dc}} = \frac{V_{\mathrm{dc}}}{R}",
        quantities=(LOAD_MEAN, LOAD_RESISTANCE),
        result=CURRENT,
        function=load_current_of_mean,
        assumptions=(
            Assumption(
                claim="takes the mean voltage by hand",
                relaxed=lambda givens, facts: abs(facts["drawn.voltage.mean"]) / givens["load_resistance"],
                instead=lambda givens, facts: f"here it is {abs(facts['drawn.voltage.mean']):.4g} V",
            ),
        ),
        validity=Validity(sentence="Valid for a resistive load."),
        source=grob("Ex. 27-6, p. 880"),
        example=Example(
            values={"load_mean": 35.08, "load_resistance": 100.0},
            expected=0.3508,
            tolerance=2e-3,
            source=grob("Ex. 27-6, p. 880"),
        ),
        kind="exact law",
        readings=("load*.current.mean",),
    ),
    Formula(
        id="load-current-of-peak",
        topic="unfiltered",
        title="Load current at the peak",
        statement=r"I_p = \frac{V_p}{R}",
        quantities=(LOAD_PEAK, LOAD_RESISTANCE),
        result=CURRENT_PEAK,
        function=load_current_of_peak,
        assumptions=(Assumption(claim="takes the peak voltage from its own formula"),),
        validity=Validity(sentence="Valid for a resistive load."),
        source=bell("Ex. 3.1, p. 73"),
        example=Example(
            values={"load_peak": 30.41, "load_resistance": 500.0},
            expected=0.0608,
            tolerance=9e-4,
            source=bell("Ex. 3.1, p. 73"),
        ),
        kind="exact law",
        readings=("load*.current.peak", "D*.current.peak"),
    ),
    Formula(
        id="load-power-dc",
        topic="unfiltered",
        title="DC power in a resistive load",
        statement=r"P_{\mathrm{dc}} = \frac{V_{\mathrm{dc}}^2}{R}",
        quantities=(LOAD_MEAN, LOAD_RESISTANCE),
        result=POWER,
        function=load_power_dc,
        assumptions=(
            Assumption(
                claim="takes the mean voltage by hand",
                relaxed=lambda givens, facts: facts["drawn.voltage.mean"] ** 2 / givens["load_resistance"],
                instead=lambda givens, facts: f"here it is {abs(facts['drawn.voltage.mean']):.4g} V",
            ),
        ),
        validity=Validity(sentence="Valid for a resistive load."),
        source=DEFINITION,
        example=Example(
            values={"load_mean": 15.52, "load_resistance": 800.0},
            expected=0.301,
            tolerance=2e-3,
            source=MEHTA_RESISTANCE,
        ),
        kind="exact law",
        readings=("load*.power.dc",),
    ),
    Formula(
        id="load-power-mean",
        topic="unfiltered",
        title="Power that heats a resistive load",
        statement=r"P = \frac{V_{\mathrm{L,rms}}^2}{R}",
        quantities=(LOAD_RMS, LOAD_RESISTANCE),
        result=POWER,
        function=load_power_mean,
        assumptions=(Assumption(claim="takes the RMS voltage from its own formula"),),
        validity=Validity(sentence="Valid for a resistive load."),
        source=DEFINITION,
        example=Example(
            values={"load_rms": 10.0, "load_resistance": 50.0}, expected=2.0, tolerance=1e-9, source=ON_PAPER
        ),
        kind="exact law",
        readings=("load*.power.mean",),
    ),
    Formula(
        id="input-power-from-dc-ratio",
        topic="unfiltered",
        title="AC power for a wanted DC power",
        statement=r"P_{\mathrm{ac}} = \frac{P_{\mathrm{dc}}}{\eta_r}",
        quantities=(quantity("power_dc", r"P_{\mathrm{dc}}", "W", "DC power in the load"), DC_RATIO),
        result=POWER,
        function=input_power_from_dc_ratio,
        assumptions=(Assumption(claim="takes the rectification efficiency of an ideal rectifier"),),
        validity=_RATIOS,
        source=DEFINITION,
        example=Example(
            values={"power_dc": 500.0, "dc_ratio": 0.406},
            expected=1232.0,
            tolerance=4.2e-4,
            source=kakani("Ex. 4.3, p. 214"),
        ),
        kind="exact law",
    ),
    Formula(
        id="diode-mean-current",
        topic="unfiltered",
        title="Mean current of one diode",
        statement=r"I_{D,\mathrm{mean}} = \frac{I_{\mathrm{dc}}}{m}",
        quantities=(
            CURRENT,
            quantity("diodes_taking_turns", "m", "1", "diodes taking turns: 1 half-wave, 2 full-wave, 3 three-phase"),
        ),
        result=quantity("diode_current_mean", r"I_{D,\mathrm{mean}}", "A", "mean over the whole period"),
        function=diode_mean_current,
        assumptions=(
            Assumption(
                claim="takes the load current by hand",
                relaxed=lambda givens, facts: drawn_current(facts) / givens["diodes_taking_turns"],
                instead=lambda givens, facts: drawn_in_words(givens["load_current_mean"], facts),
            ),
            Assumption(claim="lets all diodes share alike"),
        ),
        validity=Validity(sentence="Valid while every diode works; what a capacitor takes it gives back."),
        source=grob("Ex. 27-6, p. 880"),
        example=Example(
            values={"load_current_mean": 0.3508, "diodes_taking_turns": 2.0},
            expected=0.1754,
            tolerance=2e-3,
            source=grob("Ex. 27-6, p. 880"),
        ),
        kind="exact law",
        readings=("D*.current.mean",),
    ),
    Formula(
        id="diode-angle-dead-time",
        topic="unfiltered",
        title="Conduction angle of one diode without a filter",
        statement=r"\alpha = 180^\circ - 2\arcsin\frac{kV_D}{V_m}",
        quantities=_DROPS,
        result=quantity("conduction_angle", r"\alpha", "deg", "angle per mains period in which the diode conducts"),
        function=diode_angle_dead_time,
        assumptions=(_LOSSES,),
        validity=_DEAD_TIME,
        source=ON_PAPER,
        # A drop of half the peak: the sine is above it from 30 to 150 degrees.
        example=Example(
            values={"source_peak": 24.0, "diode_drop": 12.0, "diodes_in_path": 1.0},
            expected=120.0,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        kind="exact law",
        readings=("D*.conduction.angle",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="rectifier-angle-dead-time",
        topic="unfiltered",
        title="Conduction angle of the rectifier without a filter",
        statement=r"\alpha = p\left(180^\circ - 2\arcsin\frac{kV_D}{V_m}\right)",
        quantities=(*_DROPS, PULSES),
        result=quantity("conduction_angle", r"\alpha", "deg", "angle per mains period with any diode on"),
        function=rectifier_angle_dead_time,
        assumptions=(_LOSSES,),
        validity=_DEAD_TIME,
        source=ON_PAPER,
        example=Example(
            values={"source_peak": 24.0, "diode_drop": 6.0, "diodes_in_path": 2.0, "pulses": 2.0},
            expected=240.0,
            tolerance=1e-9,
            source=ON_PAPER,
        ),
        kind="exact law",
        readings=("rectifier.conduction.angle",),
        circuits=CIRCUITS_SINGLE_PHASE,
    ),
    Formula(
        id="three-phase-half-wave-mean",
        topic="three-phase",
        title="Mean behind three diodes (0.827 of the phase peak)",
        statement=r"V_{\mathrm{dc}} = \frac{3\sqrt{3}}{2\pi} V_p",
        quantities=(LOAD_PEAK,),
        result=LOAD_MEAN,
        function=three_phase_half_wave_mean,
        assumptions=(_LOSSES,),
        validity=_RESISTIVE,
        source=RASHID,
        example=Example(values={"load_peak": 1.0}, expected=0.827, tolerance=6.1e-4, source=RASHID),
        readings=_MEANS,
        circuits=("three-phase-half-wave",),
    ),
    Formula(
        id="three-phase-bridge-mean",
        topic="three-phase",
        title="Mean behind six diodes (0.955 of the line peak)",
        statement=r"V_{\mathrm{dc}} = \frac{3}{\pi} V_p",
        quantities=(LOAD_PEAK,),
        result=LOAD_MEAN,
        function=three_phase_bridge_mean,
        assumptions=(_LOSSES,),
        validity=_RESISTIVE,
        source=RASHID,
        example=Example(values={"load_peak": 418.9}, expected=400.0, tolerance=2e-4, source=BIMBHRA_BRIDGE),
        readings=_MEANS,
        circuits=("three-phase-bridge",),
    ),
    Formula(
        id="three-phase-half-wave-mean-from-rms",
        topic="three-phase",
        title="Mean behind three diodes from the phase RMS (1.17)",
        statement=r"V_{\mathrm{dc}} = \frac{3\sqrt{6}}{2\pi} V_{\mathrm{ph}}",
        quantities=(quantity("phase_rms", r"V_{\mathrm{ph}}", "V", "RMS of one phase"),),
        result=LOAD_MEAN,
        function=three_phase_half_wave_mean_from_rms,
        assumptions=(_NO_DROPS, _LOSSES),
        validity=_RATIOS,
        source=RASHID,
        example=Example(values={"phase_rms": 1.0}, expected=1.17, tolerance=4.4e-3, source=RASHID),
        readings=_MEANS,
        circuits=("three-phase-half-wave",),
    ),
    Formula(
        id="three-phase-bridge-mean-from-rms",
        topic="three-phase",
        title="Mean behind six diodes from the phase RMS (2.34)",
        statement=r"V_{\mathrm{dc}} = \frac{3\sqrt{6}}{\pi} V_{\mathrm{ph}}",
        quantities=(quantity("phase_rms", r"V_{\mathrm{ph}}", "V", "RMS of one phase"),),
        result=LOAD_MEAN,
        function=three_phase_bridge_mean_from_rms,
        assumptions=(_NO_DROPS, _LOSSES),
        validity=_RATIOS,
        source=RASHID,
        example=Example(values={"phase_rms": 1.0}, expected=2.34, tolerance=2.2e-3, source=RASHID),
        readings=_MEANS,
        circuits=("three-phase-bridge",),
    ),
    Formula(
        id="three-phase-bridge-mean-from-line-rms",
        topic="three-phase",
        title="Mean behind six diodes from the RMS between lines (1.35)",
        statement=r"V_{\mathrm{dc}} = \frac{3\sqrt{2}}{\pi} V_{\mathrm{LL}}",
        quantities=(quantity("line_rms", r"V_{\mathrm{LL}}", "V", "RMS between two lines"),),
        result=LOAD_MEAN,
        function=three_phase_bridge_mean_from_line_rms,
        assumptions=(_NO_DROPS, _LOSSES),
        validity=_RATIOS,
        source=RASHID,
        example=Example(values={"line_rms": 1.0}, expected=1.35, tolerance=3.8e-3, source=RASHID),
        readings=_MEANS,
        circuits=("three-phase-bridge",),
    ),
    Formula(
        id="line-peak",
        topic="three-phase",
        title="Peak between two lines",
        statement=r"\hat V_{\mathrm{LL}} = \sqrt{3}\,V_m",
        quantities=(SOURCE_PEAK,),
        result=quantity("line_peak", r"\hat V_{\mathrm{LL}}", "V", "peak between two lines"),
        function=line_peak,
        assumptions=(Assumption(claim="takes the three phases as equal and 120 degrees apart"), _LOSSES),
        validity=Validity(sentence="Valid for a symmetrical source."),
        source=RASHID,
        example=Example(values={"source_peak": 1.0}, expected=1.73, tolerance=2.9e-3, source=RASHID),
        kind="exact law",
        circuits=CIRCUITS_ALL,
    ),
)
