"""Non-linear parts written as blocks: lines joined at vertices, with guards between them."""

from __future__ import annotations

from collections.abc import Sequence

from railwright.network.elements import Block, Guard, Law, State

#: [S] A line steeper than this is watched by its current, a flatter one by its voltage: whichever varies more.
_STEEP = 1e-3


def _line(volts: float, amperes: float, along_volts: float, along_amperes: float) -> Law:
    """The line through (volts, amperes) in the given direction, normalised to its larger coefficient."""
    size = max(abs(along_volts), abs(along_amperes))
    across, current = along_amperes / size, -along_volts / size
    return Law(across=across, current=current, constant=-(across * volts + current * amperes))


def _side(volts: float, amperes: float, direction: tuple[float, float], sign: float, target: int) -> Guard:
    """Guard at a vertex: being on this line's side of it, watched in its larger-varying quantity."""
    along_volts, along_amperes = direction
    if along_volts == 0.0 or along_amperes > _STEEP * along_volts:
        return Guard(law=Law(current=sign, constant=-sign * amperes), target=target)
    return Guard(law=Law(across=sign, constant=-sign * volts), target=target)


def piecewise_linear(
    *,
    name: str,
    a: str,
    b: str,
    vertices: Sequence[tuple[float, float]],
    first_slope: tuple[float, float],
    last_slope: tuple[float, float],
    state_names: Sequence[str] | None = None,
    start: int = 0,
) -> Block:
    """A two-terminal part whose curve is straight between vertices.

    Parameters
    ----------
    vertices : sequence of (volts, amperes)
        Rising in both, from left to right. [V] and [A]
    first_slope, last_slope : (volts, amperes)
        Direction of the curve before the first vertex and after the last, both parts at least zero.
    """
    directions = [first_slope]
    directions += [(v1 - v0, i1 - i0) for (v0, i0), (v1, i1) in zip(vertices, vertices[1:], strict=False)]
    directions.append(last_slope)
    names = state_names or [f"segment {k}" for k in range(len(directions))]
    states = []
    for k, direction in enumerate(directions):
        anchor = vertices[min(k, len(vertices) - 1)]
        guards = []
        if k > 0:
            guards.append(_side(*vertices[k - 1], direction, +1.0, k - 1))
        if k < len(vertices):
            guards.append(_side(*vertices[k], direction, -1.0, k + 1))
        blocks = direction[1] == 0.0 and anchor[1] == 0.0
        states.append(State(name=names[k], law=_line(*anchor, *direction), guards=tuple(guards), blocks=blocks))
    return Block(name=name, a=a, b=b, states=tuple(states), start=start)


def straight_diode(*, name: str, anode: str, cathode: str, drop: float, resistance: float) -> Block:
    """A diode with a constant drop and a resistance: off below the drop, a line above it."""
    return piecewise_linear(
        name=name,
        a=anode,
        b=cathode,
        vertices=[(drop, 0.0)],
        first_slope=(1.0, 0.0),
        last_slope=(resistance, 1.0),
        state_names=("off", "on"),
    )


def current_load(*, name: str, a: str, b: str, current: float, minimum_voltage: float) -> Block:
    """A constant current that becomes a resistor below `minimum_voltage`, so that it never pulls the rail negative."""
    return piecewise_linear(
        name=name,
        a=a,
        b=b,
        vertices=[(minimum_voltage, current)],
        first_slope=(minimum_voltage, current),
        last_slope=(1.0, 0.0),
        state_names=("below its floor", "constant current"),
    )


def zener(*, name: str, cathode: str, anode: str, voltage: float, resistance: float, forward_drop: float) -> Block:
    """A zener from cathode to anode: breaks down at `voltage`, conducts forward at minus `forward_drop`."""
    return piecewise_linear(
        name=name,
        a=cathode,
        b=anode,
        vertices=[(-forward_drop, 0.0), (voltage, 0.0)],
        first_slope=(0.0, 1.0),
        last_slope=(resistance, 1.0),
        state_names=("forward", "off", "regulating"),
        start=1,
    )


def power_load(*, name: str, a: str, b: str, power: float, floor: float, low: float, high: float, chords: int) -> Block:
    """A constant power as chords of power / voltage between `low` and `high`.

    Below `floor` it is the resistor that takes the power at that voltage, beyond `high` a constant current. The
    chords' vertices are spaced geometrically and lowered a little, so that each chord is as far above the law in its
    middle as it is below at its ends.
    """
    ratio = (high / low) ** (1.0 / chords)
    balance = 1.0 - ((ratio + 1.0) ** 2 / (4.0 * ratio) - 1.0) / 2.0
    volts = [low * ratio**k for k in range(chords + 1)]
    vertices = [(v, balance * power / v) for v in volts]
    if floor < low * (1.0 - 1e-12):
        # From the floor to the fitted range: a few more chords on the law itself.
        steps = 4
        lower = [floor * (low / floor) ** (k / steps) for k in range(steps)]
        vertices = [(v, power / v) for v in lower] + vertices
    first = vertices[0]
    return piecewise_linear(
        name=name,
        a=a,
        b=b,
        vertices=vertices,
        first_slope=first,
        last_slope=(1.0, 0.0),
        state_names=("below its floor", *(f"chord {k}" for k in range(1, len(vertices))), "beyond its range"),
    )
