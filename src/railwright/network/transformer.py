"""From the outlet through fuse and transformer to the winding terminals, for one phase and for three."""

from __future__ import annotations

from railwright.network.draft import SHORT, Draft
from railwright.network.elements import Block, Guard, Inductor, Law, State, StiffCore, Winding
from railwright.network.network import NotSolvedYet
from railwright.network.winding import WindingValues, nominal_mains, winding_values


def add_winding(draft: Draft) -> None:
    """Everything between the outlet and the rectifier's terminals, and its places."""
    three, transformer = draft.supply.mains.phases == 3, draft.supply.transformer
    if transformer is None:
        (_three_lines if three else _one_line)(draft)
    elif three:
        _three_phase(draft, winding_values(draft.supply, draft.model))
    else:
        _single_phase(draft, winding_values(draft.supply, draft.model))


def _fuse(draft: Draft, a: str, b: str) -> list[tuple[str, float]]:
    """The fuse as a wire between two nodes, and its place; what it carries."""
    carries: list[tuple[str, float]] = []
    if not draft.is_open("F1"):
        draft.resistor("F1", a, b, 0.0)
        carries = [("F1", 1.0)]
    draft.place("F1", "ac", None, None, carries)
    return carries


# -- without a transformer -------------------------------------------------------------


def _one_line(draft: Draft) -> None:
    if draft.supply.fuse is not None:
        _fuse(draft, "live", "winding_a")
    draft.emf["secondary"] = draft.supply.mains.voltage_rms
    draft.place("mains", "ac", "live", "neutral", [("mains", 1.0)])
    draft.place("secondary", "ac", "winding_a", "winding_b", [("mains", 1.0)])


def _three_lines(draft: Draft) -> None:
    if draft.supply.fuse is not None:
        _fuse(draft, "l1", "winding_1")
    for line in (1, 2, 3):
        draft.emf[f"secondary_{line}"] = draft.supply.mains.voltage_rms / 3.0**0.5
        draft.place(f"mains_l{line}", "ac", f"l{line}", "neutral", [(f"mains_l{line}", 1.0)])
        draft.place(f"secondary_{line}", "ac", f"winding_{line}", "neutral", [(f"mains_l{line}", 1.0)])


# -- cores -------------------------------------------------------------


def _core(draft: Draft, name: str, a: str, b: str, *, resists: bool, broken: bool) -> bool:
    """The magnetizing branch; whether the current's mean has to be taken off (a core that costs nothing)."""
    transformer = draft.supply.transformer
    assert transformer is not None
    inductance = transformer.magnetizing_inductance
    if inductance is None or draft.model == "ideal":
        if resists and not broken:
            draft.add(StiffCore(name=name, a=draft.node(a), b=draft.node(b)))
        return not resists
    if transformer.saturation_current is not None and transformer.saturated_inductance is not None:
        draft.add(
            saturating(
                name, draft.node(a), draft.node(b), inductance, transformer.saturation_current,
                transformer.saturated_inductance,
            )
        )  # fmt: skip
    else:
        draft.add(Inductor(name=name, a=draft.node(a), b=draft.node(b), inductance=inductance))
    draft.place("T1.magnetizing", "core", a, b, [(name, 1.0)])
    return False


def saturating(name: str, a: str, b: str, inductance: float, knee: float, saturated: float) -> Block:
    """An inductance of two slopes: its state is the flux, its current a straight line on each side of the knee."""
    flux = inductance * knee
    linear = State(
        name="unsaturated",
        law=Law(flux=1.0 / inductance, current=-1.0),
        guards=(
            Guard(law=Law(flux=1.0, constant=flux), target=0),
            Guard(law=Law(flux=-1.0, constant=flux), target=2),
        ),
    )
    low, high = (
        State(
            name="saturated",
            law=Law(flux=1.0 / saturated, current=-1.0, constant=sign * (knee - flux / saturated)),
            guards=(Guard(law=Law(flux=sign, constant=-flux), target=1),),
        )
        for sign in (-1.0, 1.0)
    )
    return Block(name=name, a=a, b=b, states=(low, linear, high), has_flux=True, start=1)


# -- one phase -------------------------------------------------------------


def _single_phase(draft: Draft, values: WindingValues) -> None:
    supply, mains = draft.supply, draft.supply.mains
    transformer = supply.transformer
    assert transformer is not None
    tapped = transformer.secondary == "centre-tapped"
    side = supply.fuse.side if supply.fuse is not None else None
    multiple = 2.0 if transformer.secondary == "series" else 1.0
    share = {"series": 2.0, "parallel": 0.5}.get(transformer.secondary, 1.0)
    scale = mains.voltage_rms / nominal_mains(supply)
    for name in ("secondary_a", "secondary_b") if tapped else ("secondary",):
        draft.emf[name] = values.emf * multiple * scale
    broken = draft.is_open("primary") or (side == "primary" and draft.is_open("F1"))
    primary: list[tuple[str, float]] = []
    if not broken:
        draft.resistor("primary", "live", "core", values.primary_resistance)
        primary = [("primary", 1.0)]
    resists = values.primary_resistance > 0.0 or mains.source_resistance > 0.0 or mains.source_inductance > 0.0
    less_mean = _core(draft, "core", "core", "neutral", resists=resists, broken=broken)
    if side == "primary":
        draft.place("F1", "ac", None, None, primary, less_mean=less_mean)
    draft.place("mains", "ac", "live", "neutral", primary, less_mean=less_mean)
    draft.place("primary", "ac", "live", "neutral", primary, less_mean=less_mean)
    half_shorted = draft.action("winding") == "half-shorted"
    if not tapped:
        _section(
            draft, "secondary", ("winding_a", "winding_b"), outer="winding_a", ratio=values.ratio / multiple,
            resistance=values.section_resistance * share, leakage=values.leakage * share,
            broken=draft.is_open("winding", "winding_a", "winding_b"), fused=side == "secondary",
            half_shorted=half_shorted,
        )  # fmt: skip
        return
    for name, ends, outer in (
        ("secondary_a", ("winding_a", "tap"), "winding_a"),
        ("secondary_b", ("tap", "winding_b"), "winding_b"),
    ):
        _section(
            draft, name, ends, outer=outer, ratio=values.ratio, resistance=values.section_resistance,
            leakage=values.leakage, broken=draft.is_open("winding", outer),
            fused=side == "secondary" and outer == "winding_a", half_shorted=half_shorted and outer == "winding_a",
        )  # fmt: skip
    draft.place("secondary", "ac", "winding_a", "winding_b")
    draft.place(
        "tap",
        "ac",
        None,
        None,
        [(n, -s) for name in ("secondary_a", "secondary_b") for n, s in draft.currents_of(name)],
    )


def _section(
    draft: Draft, name: str, ends: tuple[str, str], *, outer: str, ratio: float, resistance: float, leakage: float,
    broken: bool, fused: bool, half_shorted: bool,
) -> None:  # fmt: skip
    """One secondary section: its EMF from the first end to the second, resistance and leakage at its outer end."""
    inner = f"{name} emf"
    top, bottom = (inner if end == outer else end for end in ends)
    windings = [(name, top, bottom, ratio)]
    if half_shorted:
        middle = f"{name} middle"
        windings = [(name, top, middle, 2.0 * ratio), (f"{name} shorted half", middle, bottom, 2.0 * ratio)]
        resistance, leakage = 0.5 * resistance, 0.5 * leakage
        # The shorted turns keep their own copper; the fault's milliohm joins their ends.
        draft.resistor(f"{name} shorted resistance", middle, bottom, SHORT + resistance)
    for winding, upper, lower, turns in windings:
        draft.add(
            Winding(
                name=winding, a=draft.node("core"), b=draft.node("neutral"), c=draft.node(upper), d=draft.node(lower),
                ratio=turns,
            )
        )  # fmt: skip
    carries: list[tuple[str, float]] = []
    if not broken:
        at = inner
        if leakage > 0.0:
            behind = f"{name} leakage"
            draft.add(Inductor(name=behind, a=draft.node(at), b=draft.node(behind), inductance=leakage))
            at = behind
        if fused:
            terminal = f"{name} terminal"
            draft.resistor(f"{name} resistance", at, terminal, resistance)
            carries = _fuse(draft, terminal, outer)
        else:
            draft.resistor(f"{name} resistance", at, outer, resistance)
            carries = [(f"{name} resistance", 1.0)]
    elif fused:
        draft.place("F1", "ac", None, None, [])
    other = next(end for end in ends if end != outer)
    draft.place(name, "ac", outer, other, carries)


# -- three phases -------------------------------------------------------------


def _three_phase(draft: Draft, values: WindingValues) -> None:
    supply, mains = draft.supply, draft.supply.mains
    transformer = supply.transformer
    assert transformer is not None
    if supply.fuse is not None and supply.fuse.side == "secondary":
        raise NotSolvedYet("A fuse on the secondary side of a three-phase transformer is read, but not solved yet.")
    primary, secondary = transformer.connection.split("-")
    star = "negative" if supply.rectifier.circuit == "three-phase-half-wave" else "star"
    if transformer.connection == "star-star" and supply.rectifier.circuit == "three-phase-half-wave":
        draft.notes.append("The star point of the primary is joined to the neutral, as a star-star half-wave needs.")
    if secondary == "delta" and supply.rectifier.circuit == "three-phase-half-wave":
        raise NotSolvedYet("A delta secondary has no star point for the half-wave's return: choose a star secondary.")
    resists = values.primary_resistance > 0.0 or mains.source_resistance > 0.0 or mains.source_inductance > 0.0
    scale = mains.voltage_rms / nominal_mains(supply)
    into: dict[int, list[tuple[str, float]]] = {1: [], 2: [], 3: []}
    less_mean = False
    for line in (1, 2, 3):
        following = line % 3 + 1
        start, end = f"l{line}", "neutral" if primary == "star" else f"l{following}"
        core = f"core_{line}"
        name = f"primary_{line}"
        draft.resistor(name, start, core, values.primary_resistance)
        into[line].append((name, 1.0))
        if primary == "delta":
            into[following].append((name, -1.0))
        less_mean = _core(draft, f"{core} magnetizing", core, end, resists=resists, broken=False)
        section = f"secondary_{line}"
        low = star if secondary == "star" else f"winding_{following}"
        inner = f"{section} emf"
        draft.add(
            Winding(
                name=section, a=draft.node(core), b=draft.node(end), c=draft.node(inner), d=draft.node(low),
                ratio=values.ratio,
            )
        )  # fmt: skip
        at = inner
        if values.leakage > 0.0:
            at = f"{section} leakage"
            draft.add(Inductor(name=at, a=draft.node(inner), b=draft.node(at), inductance=values.leakage))
        draft.resistor(f"{section} resistance", at, f"winding_{line}", values.section_resistance)
        draft.emf[section] = values.emf * scale
        draft.place(section, "ac", f"winding_{line}", low, [(f"{section} resistance", 1.0)])
    for line in (1, 2, 3):
        draft.place(f"mains_l{line}", "ac", f"l{line}", "neutral", into[line], less_mean=less_mean)
    if supply.fuse is not None:
        draft.place("F1", "ac", None, None, into[1], less_mean=less_mean)
