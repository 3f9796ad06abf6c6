"""What a sheet adds to the standard circuit: probes as marks on their nodes, extra parts in a strip of their own."""

from __future__ import annotations

from railwright.figures.draft import Draft, snapped
from railwright.figures.filter_chain import label_width
from railwright.figures.labels import SIZE
from railwright.figures.scene import Box, Text, united
from railwright.figures.symbols import Kind
from railwright.figures.typeface import text_width
from railwright.quantities import format_quantity
from railwright.supply.model import Extra, Probe, Supply

_INSTRUMENTS = {
    "meter-dc": "meter, DC",
    "meter-ac-average": "meter, AC, average-responding",
    "meter-ac-rms": "meter, AC, true RMS",
    "meter-ac-dc-rms": "meter, AC + DC, true RMS",
    "scope-dc": "oscilloscope, DC coupled",
    "scope-ac": "oscilloscope, AC coupled",
}
_KINDS: dict[str, tuple[Kind, str]] = {
    "capacitor": ("capacitor", "F"), "resistor": ("resistor", "ohm"), "choke": ("choke", "H"),
}  # fmt: skip
_SLOT = 110.0  # [px]
_BELOW = 84.0  # [px] from the circuit down to the strip


def node_words(node: str) -> str:
    """A node's name as words."""
    return node.replace("_", " ")


def additions(draft: Draft, supply: Supply) -> None:
    """Draw the sheet's extra parts and probes; the circuit must be there already."""
    if supply.extras:
        _extras(draft, supply.extras)
    for number, probe in enumerate(supply.probes, start=1):
        _probe(draft, number, probe)
    _earth(draft, supply)


def _earth(draft: Draft, supply: Supply) -> None:
    """Everything that is joined to earth is joined to each other: an outlet's neutral, earthed clips, ports."""
    joined = ["neutral"] if supply.mains.source == "outlet" else []
    joined += [probe.negative for probe in supply.probes if probe.clip_earthed]
    nodes = dict.fromkeys(draft.aliases.get(name, name) for name in joined)
    places = [(node, at) for node in nodes if (at := draft.anywhere_on(node)) is not None]
    places += [
        ("earth", at)
        for placed in draft.parts.values()
        for node, at in zip(placed.nodes, (placed.start, placed.end), strict=True)
        if node == "earth"
    ]
    for number, ((one, start), (two, end)) in enumerate(zip(places, places[1:], strict=False), start=1):
        draft.link(f"earth {number}", start, end, nodes=(one, two))


def _probe(draft: Draft, number: int, probe: Probe) -> None:
    known = set(draft.node_names())
    for node, filled in ((probe.positive, False), (probe.negative, True)):
        if node in known:
            draft.mark(node, str(number), filled=filled, belongs_to=probe.name)
    scope = probe.instrument.startswith("scope")
    words = (
        f"{number}: {probe.name}, {_INSTRUMENTS[probe.instrument]}; tip at {node_words(probe.positive)}, "
        f"{'clip' if scope else 'common'} (black) at {node_words(probe.negative)}"
    )
    draft.notes.append(words + (", joined to earth." if probe.clip_earthed and scope else "."))


def _extras(draft: Draft, extras: tuple[Extra, ...]) -> None:
    """Each extra between two named ports, in a row below the circuit."""
    whole = united(placed.box for placed in draft.parts.values())
    points = [point for wire in draft.wires for point in wire.points]
    bottom = max([y for _, y in points] + [0.0 if whole is None else whole.bottom])
    right = max((x for x, _ in points), default=600.0)
    x, y = 0.0, bottom + _BELOW
    for extra in extras:
        names = node_words(extra.start), node_words(extra.end)
        reach = [text_width(name, SIZE) + 14.0 for name in names]
        lines = _lines(extra)
        slot = max(_SLOT, snapped(label_width(lines) + 24.0))
        if x > 0 and x + sum(reach) + slot > right:
            x, y = 0.0, y + _BELOW
        start, end = (x + reach[0], y), (x + reach[0] + slot, y)
        nodes = draft.aliases.get(extra.start, extra.start), draft.aliases.get(extra.end, extra.end)
        for node, port in zip((extra.start, extra.end), (start, end), strict=True):
            joined = draft.anywhere_on(node)
            if joined is not None:
                draft.wire(draft.aliases.get(node, node), joined, port, drawn=False)
        if extra.kind == "wire":
            middle = (start[0] + end[0]) / 2
            near = Box(left=middle, top=y, right=middle, bottom=y)
            draft.wire_between(extra.name, start, end, nodes=nodes)
            draft.label(extra.name, lines, near, sides=("above", "below"), bold_first=True)
        else:
            draft.part(extra.name, _KINDS[extra.kind][0], start, end, nodes=nodes, lines=lines, sides=("above",))
        for name, port, anchor, shift in ((names[0], start, "end", -9.0), (names[1], end, "start", 9.0)):
            draft.terminal(port)
            draft.fixed_text(
                Text(
                    at=(port[0] + shift, y), text=name, size=SIZE, baseline="middle",
                    anchor="end" if anchor == "end" else "start",
                )
            )  # fmt: skip
        x = end[0] + reach[1] + 40.0
    draft.notes.append("Parts in the lower row are joined to the nodes that their terminals name.")


def _lines(extra: Extra) -> tuple[str, ...]:
    if extra.value is None or extra.kind == "wire":
        return (extra.name,)
    return extra.name, format_quantity(extra.value, _KINDS[extra.kind][1])
