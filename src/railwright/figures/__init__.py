"""Pictures of a supply: schematic, conduction path, waveforms, and the board that joins them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from railwright.figures.scene import Scene
    from railwright.study import Study

__all__ = ["KINDS", "draw"]

Standard: TypeAlias = Literal["iec", "ieee"]
Form: TypeAlias = Literal["diamond", "in-line"]
Convention: TypeAlias = Literal["conventional", "electron"]

#: What can be drawn of a study.
KINDS = ("board", "schematic", "path", "waveforms")


def draw(
    study: Study,
    kind: str,
    *,
    standard: Standard = "iec",
    form: Form = "diamond",
    convention: Convention = "conventional",
    copier: bool = False,
    degrees: float | None = None,
) -> Scene:
    """Draw a study.

    Parameters
    ----------
    study : Study
    kind : str
        ``board`` (circuit, path of each half-cycle, waveforms, key readings), ``schematic``, ``path`` or
        ``waveforms``.
    standard : str
        Symbols of IEC 60617 (``iec``) or IEEE 315 (``ieee``).
    form : str
        A bridge as a ``diamond`` or ``in-line`` as two legs.
    convention : str
        Direction of the chevrons on a path: ``conventional`` or ``electron``.
    copier : bool
        Pure black and white, no tint, nothing that depends on colour.
    degrees : float, optional
        Moment of a path, from the rising zero of the source EMF; the middle of the longest conduction interval if
        not given. [deg]

    Returns
    -------
    Scene
        With its title and its text equivalent; `export` makes a file of it.

    Raises
    ------
    ValueError
        If there is no such kind, standard, form or convention, or the circuit has no schematic.
    """
    if kind not in KINDS:
        raise ValueError(f'There is no figure of kind "{kind}". Allowed: {", ".join(KINDS)}.')
    for key, given, allowed in (
        ("standard", standard, ("iec", "ieee")),
        ("form", form, ("diamond", "in-line")),
        ("convention", convention, ("conventional", "electron")),
    ):
        if given not in allowed:
            raise ValueError(f'{key} "{given}" is not known. Allowed: {", ".join(allowed)}.')
    # Imported late: a figure needs numpy, the other commands' `--help` doesn't.
    from railwright.figures import board, waveforms
    from railwright.figures.copier import black_and_white

    if kind == "waveforms":
        return waveforms.waveforms(study, copier=copier)
    if kind == "board":
        return board.board(study, standard=standard, form=form, convention=convention, copier=copier)
    if kind == "schematic":
        scene = board.schematic_scene(study, standard=standard, form=form)
    else:
        scene = board.path_scene(study, degrees, standard=standard, form=form, convention=convention)
    return black_and_white(scene) if copier else scene
