"""Pictures of a supply: schematic, path, waveforms, the board that joins them, and charts of what they mean."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Sequence

    from railwright.course import Course
    from railwright.figures.scene import Scene
    from railwright.study import Study

__all__ = ["KINDS", "WITH_BLANK", "WITH_QUANTITIES", "caption_at", "draw", "why_not"]

Standard: TypeAlias = Literal["iec", "ieee"]
Form: TypeAlias = Literal["diamond", "in-line"]
Convention: TypeAlias = Literal["conventional", "electron"]

#: What can be drawn of a study.
KINDS = (
    "board", "schematic", "path", "waveforms", "stages", "spectrum", "start-up", "ladder", "validity", "diode-curve",
    "scope-screen",
)  # fmt: skip
#: Those that also come empty, for a student to fill in.
WITH_BLANK = ("stages", "scope-screen")
#: Those that take the names of waveforms.
WITH_QUANTITIES = ("spectrum", "scope-screen")


def draw(
    study: Study,
    kind: str,
    *,
    standard: Standard | None = None,
    form: Form = "diamond",
    convention: Convention | None = None,
    copier: bool = False,
    degrees: float | None = None,
    blank: bool = False,
    quantities: Sequence[str] = (),
    compare: Study | None = None,
    course: Course | None = None,
) -> Scene:
    """Draw a study.

    Parameters
    ----------
    study : Study
    kind : str
        ``board`` (circuit, path of each half-cycle, waveforms, key readings), ``schematic``, ``path``, ``waveforms``,
        ``stages`` (outlet to load, each with its waveform), ``spectrum`` (harmonics), ``start-up`` (from switch-on),
        ``ladder`` (the three models on one axis), ``validity`` (how good the ripple formulas are), ``diode-curve``
        (I-V and the range in use), ``scope-screen`` (10 by 8 divisions).
    standard : str
        Symbols of IEC 60617 (``iec``) or IEEE 315 (``ieee``); the course's, or IEC, if unsaid.
    form : str
        A bridge as a ``diamond`` or ``in-line`` as two legs.
    convention : str
        Direction of the chevrons on a path: ``conventional`` or ``electron``; the course's, or conventional, if
        unsaid.
    copier : bool
        Pure black and white, no tint, nothing that depends on colour.
    degrees : float, optional
        Moment of a path, from the rising zero of the source EMF; the middle of the longest conduction interval if
        not given. [deg]
    blank : bool
        For ``stages`` and ``scope-screen``: empty axes for the student to fill in.
    quantities : sequence of str
        For ``spectrum`` and ``scope-screen``: waveforms such as ``mains.current``; chosen by the circuit if empty.
    compare : Study, optional
        For ``waveforms``: a second study laid over the first, such as the supply without its capacitor.
    course : Course, optional
        Whose words, decimal sign, drawing standard and direction of current the figure has.

    Returns
    -------
    Scene
        With its title and its text equivalent; `export` makes a file of it.

    Raises
    ------
    ValueError
        If there is no such kind, standard, form or convention.
    NotDrawn
        If an option doesn't belong to the kind, or the supply can't be drawn so.
    """
    if kind not in KINDS:
        raise ValueError(f'There is no figure of kind "{kind}". Allowed: {", ".join(KINDS)}.')
    if standard is None:
        standard = "iec" if course is None else course.drawing
    if convention is None:
        convention = "conventional" if course is None else course.current_direction
    for key, given, allowed in (
        ("standard", standard, ("iec", "ieee")),
        ("form", form, ("diamond", "in-line")),
        ("convention", convention, ("conventional", "electron")),
    ):
        if given not in allowed:
            raise ValueError(f'{key} "{given}" is not known. Allowed: {", ".join(allowed)}.')
    # Imported late: a figure needs numpy, the other commands' `--help` doesn't.
    from railwright.figures.copier import black_and_white
    from railwright.figures.drawing import NotDrawn

    for option, is_given, kinds in (
        ("blank", blank, WITH_BLANK),
        ("quantities", bool(quantities), WITH_QUANTITIES),
        ("compare", compare is not None, ("waveforms",)),
    ):
        if is_given and kind not in kinds:
            raise NotDrawn(f'A figure of kind "{kind}" takes no {option}. Kinds that do: {", ".join(kinds)}.')
    if kind in ("board", "schematic", "path"):
        from railwright.figures import board

        if kind == "board":
            scene = board.board(study, standard=standard, form=form, convention=convention, copier=copier)
        elif kind == "schematic":
            scene = board.schematic_scene(study, standard=standard, form=form)
        else:
            scene = board.path_scene(study, degrees, standard=standard, form=form, convention=convention)
        if copier:
            scene = black_and_white(scene)
    else:
        scene = _chart(study, kind, tuple(quantities), compare=compare, blank=blank, copier=copier)
    if course is None:
        return scene
    from railwright.figures.spoken import said

    return said(scene, course, own=(study.title,))


def caption_at(study: Study, degrees: float, convention: Convention = "conventional") -> str:
    """What happens at one instant, in words: see `railwright.figures.instant.caption_at`."""
    from railwright.figures import instant

    return instant.caption_at(study, degrees, convention)


def why_not(study: Study, degrees: float) -> tuple[str, ...]:
    """Why each other diode doesn't conduct at one instant: see `railwright.figures.instant.why_not`."""
    from railwright.figures import instant

    return instant.why_not(study, degrees)


def _chart(
    study: Study, kind: str, quantities: tuple[str, ...], *, compare: Study | None, blank: bool, copier: bool
) -> Scene:
    from railwright.figures import diode_curve, model_ladder, scope_screen, spectrum, stages, start_up, waveforms
    from railwright.figures.copier import black_and_white

    if kind == "waveforms":
        return waveforms.waveforms(study, copier=copier, compare=compare)
    if kind == "stages":
        return stages.stages(study, blank=blank, copier=copier)
    if kind == "spectrum":
        return spectrum.spectrum(study, quantities, copier=copier)
    if kind == "ladder":
        return model_ladder.model_ladder(*model_ladder.solved_models(study), copier=copier)
    if kind == "diode-curve":
        return diode_curve.diode_curve(study, copier=copier)
    if kind == "scope-screen":
        return scope_screen.scope_screen(study, quantities, blank=blank, copier=copier)
    if kind == "start-up":
        return start_up.start_up(study, start_up.begun_by(study), copier=copier)
    from railwright.figures import validity
    from railwright.figures.drawing import NotDrawn

    try:
        scene = validity.validity(study)
    except ValueError as none_applies:
        raise NotDrawn(str(none_applies)) from none_applies
    return black_and_white(scene) if copier else scene
