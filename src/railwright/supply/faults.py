"""Reads fault words ("D2 open", "C1 dried=470 uF/2 ohm") against the supply that is to have the fault.

Three kinds of edit. **Supply**: `mains=`, `load=`, and `value=`, `dried=` of a capacitor that has a table of its own
in the sheet; `with_fault` makes them at once, in the sheet's tree. **Network**: every other fault of a part, a winding,
the tap or a wire; they wait in `supply.faults` for the builder of the network. **Probe**: `clips`; they wait too.
A `value=` or `dried=` of a capacitor that shares its table with others (both rails, the stages of a multiplier) is a
network edit, and `parts` shows the capacitor with it. All faults, made or waiting, stand in `supply.faults`.

Shorted is 1 milliohm, open is no current.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Final, Literal

from railwright.quantities import Quantity, QuantityError, read_quantity
from railwright.supply.designators import Part, nodes, parts, same_node
from railwright.supply.errors import SheetError, SheetFault, listed, near_miss, quoted, shown
from railwright.supply.model import Fault, Supply

#: What can happen to a part, by its kind; with "=" a value follows.
ACTIONS: Final[Mapping[str, tuple[str, ...]]] = {
    "diode": ("open", "shorted", "reversed", "leaky="),
    "capacitor": ("open", "shorted", "reversed", "dried=", "value="),
    "choke": ("open", "shorted"),
    "resistor": ("open",),
    "bleeder": ("open",),
    "fuse": ("open",),
    "zener": ("open", "shorted"),
    "regulator": ("shorted", "open"),
}
EXAMPLES: Final[Mapping[str, str]] = {
    "leaky=": "leaky=10 kohm",
    "dried=": "dried=470 uF/2 ohm",
    "value=": "value=1000 uF",
    "mains=": "mains=207 V",
    "load=": "load=100 ohm",
}
LONGEST_WORDS: Final = 120  # characters
_LOAD_KINDS: Final = (("ohm", "resistance"), ("A", "current"), ("W", "power"))
Edits = Literal["supply", "network", "probe"]


def parse_fault(supply: Supply, words: str) -> Fault:
    """What the words mean for this supply.

    In a Fault of `wire-off`, `nodes` holds the designator and then the node.

    Raises
    ------
    SheetError
        If no fault is called so, or the supply hasn't the part, node or winding; it lists what there is.
    """
    return _Words(supply, words).read()[0]


def with_fault(supply: Supply, words: str) -> Supply:
    """The supply with one more fault; the module says which faults are made at once and which wait.

    Raises
    ------
    SheetError
        As `parse_fault`; and if the part already has a fault, or the changed supply makes no sense.
    """
    from railwright.supply.points import replace_all  # points carries faults over, so it knows this module

    fault, changes = _Words(supply, words).read()
    twice = next((old for old in supply.faults if old.target == fault.target and fault.target in _names(supply)), None)
    if twice is not None:
        raise _error(
            supply, words, f'{fault.target} already has the fault "{twice.words}".', remedy="Ask for one of the two."
        )
    # Another voltage at the outlet leaves the turns of the transformer what its label says.
    nominal = supply.nominal_mains_voltage
    if fault.target == "mains" and nominal is None:
        nominal = supply.mains.voltage_rms
    if changes:
        supply = replace_all(supply, changes, place="fault")
    kept = [old for old in supply.faults if not (fault.target in ("mains", "load") and old.target == fault.target)]
    return dataclasses.replace(supply, faults=(*kept, fault), nominal_mains_voltage=nominal)


def known_faults(supply: Supply) -> tuple[str, ...]:
    """Every fault word that fits this supply, a value left out behind "=": for lists and for suggestions."""
    words = [
        f"{part.designator} {action}"
        for part in parts(supply)
        if part.fitted
        for action in ACTIONS.get(part.kind, ())
    ]
    if supply.transformer is not None:
        words.append("primary open")
        if supply.mains.phases == 1:
            words += ["winding open", "winding half-shorted"]
        if supply.transformer.secondary != "single":
            words += ["winding_a open", "winding_b open"]
        if supply.transformer.secondary == "centre-tapped":
            words.append("tap to <node>")
    words += ["wire <node> <node>", "wire-off <part>.<node>", "clips <node> <node>"]
    return tuple(words) if supply.elements else (*words, "mains=", "load=")


def overview(supply: Supply) -> str:
    """The same in one sentence's length: parts of one kind together."""
    by_kind: dict[tuple[str, ...], list[str]] = {}
    for part in parts(supply):
        actions = ACTIONS.get(part.kind, ())
        if part.fitted and actions:
            by_kind.setdefault(actions, []).append(part.designator)
    grouped = [f"{' '.join(names)} with {', '.join(actions)}" for actions, names in by_kind.items()]
    whole = [words for words in known_faults(supply) if words.partition(" ")[0] not in _names(supply)]
    return "; ".join([*grouped, ", ".join(whole)])


class _Words:
    """One reading of one fault's words."""

    def __init__(self, supply: Supply, words: str) -> None:
        self.supply = supply
        self.words = " ".join(words[: LONGEST_WORDS + 1].split())
        head, self.equals, value = self.words.partition("=")
        self.value = value.strip()
        self.tokens = head.split()

    def read(self) -> tuple[Fault, dict[str, object]]:
        """The fault, and the sheet keys to set if it can be made in the sheet."""
        if not self.tokens or len(self.words) > LONGEST_WORDS:
            raise self.error("these are no fault words.", allowed=overview(self.supply))
        first, rest = self.tokens[0], self.tokens[1:]
        if first == "mains" and not rest:
            return self.mains()
        if first == "load" and not rest:
            return self.load()
        if self.equals and not (rest and rest[-1] in ("leaky", "dried", "value")):
            raise self.unknown()
        if first in ("wire", "clips"):
            edits: Edits = "probe" if first == "clips" else "network"
            return self.fault(first, "", nodes=self.two_nodes(first, rest), edits=edits)
        if first == "wire-off":
            return self.wire_off(rest)
        if first == "tap":
            return self.tap(rest)
        if first in ("primary", "winding", "winding_a", "winding_b"):
            return self.winding(first, rest)
        return self.part(first, rest)

    def fault(
        self,
        target: str,
        action: str,
        *,
        values: tuple[float, ...] = (),
        nodes: tuple[str, ...] = (),
        edits: Edits = "network",
    ) -> tuple[Fault, dict[str, object]]:
        fault = Fault(words=self.words, edits=edits, target=target, action=action, values=values, nodes=nodes)
        return fault, {}

    # ------------------------------------------------------------------------------------------ edits of the sheet

    def mains(self) -> tuple[Fault, dict[str, object]]:
        if self.supply.elements:
            raise self.error("a network of elements has no [mains].", allowed=overview(self.supply))
        quantity = self.quantity(self.value, "V", "mains=")
        fault, _ = self.fault("mains", "value", values=(quantity.value,), edits="supply")
        return fault, {"mains.voltage": self.value}

    def load(self) -> tuple[Fault, dict[str, object]]:
        if self.supply.elements:
            raise self.error("a network of elements has no [load].", allowed=overview(self.supply))
        if self.value == "none":
            return self.fault("load", "value", edits="supply")[0], {"load.none": True}
        for unit, kind in _LOAD_KINDS:
            try:
                quantity = read_quantity(self.value, unit)
            except QuantityError:
                continue
            fault, _ = self.fault("load", "value", values=(quantity.value,), edits="supply")
            return fault, {f"load.{kind}": self.value}
        raise self.error(
            f"{quoted(self.value)} is no load." if self.value else "the load's value is missing.",
            allowed="a value in ohm, A or W, or none",
            remedy="Write for example load=100 ohm.",
        )

    def capacitor_change(self, part: Part, action: str) -> tuple[Fault, dict[str, object]]:
        if action == "value":
            values: tuple[str, ...] = (self.value,)
            read: tuple[float, ...] = (self.quantity(self.value, "F", "value=").value,)
        else:
            values = tuple(text.strip() for text in self.value.split("/"))
            if len(values) != 2:
                raise self.error(
                    "a dried capacitor has a capacitance and a series resistance.",
                    remedy=f"Write for example {part.designator} dried=470 uF/2 ohm.",
                )
            capacitance = self.quantity(values[0], "F", "dried=")
            resistance = self.quantity(values[1], "ohm", "dried=", zero=True)
            read = (capacitance.value, resistance.value)
        keys = self.own_keys(part)
        changes: dict[str, object] = dict(zip(keys, values, strict=False))
        made = len(changes) == len(values)
        fault, _ = self.fault(part.designator, action, values=read, edits="supply" if made else "network")
        return fault, changes if made else {}

    def own_keys(self, part: Part) -> tuple[str, ...]:
        """The sheet keys of a capacitor's value and series resistance, if no other part shares them."""
        if part.section is not None:
            section = self.supply.filters[part.section - 1]
            if self.supply.is_dual and section.rail == "both":
                return ()
            return (f"filter.{part.section}.capacitor", f"filter.{part.section}.esr")
        for position, element in enumerate(self.supply.elements, 1):
            if element.name == part.designator:
                return (f"element.{position}.capacitance", f"element.{position}.esr")
        for position, extra in enumerate(self.supply.extras, 1):
            if extra.name == part.designator:
                return (f"extra.{position}.value",)
        return ()

    # ----------------------------------------------------------------------------------------- edits of the network

    def part(self, designator: str, rest: list[str]) -> tuple[Fault, dict[str, object]]:
        part = next((part for part in parts(self.supply) if part.designator == designator), None)
        if part is None:
            names = _names(self.supply)
            if len(rest) == 1 and {rest[0], f"{rest[0]}="} & {action for known in ACTIONS.values() for action in known}:
                raise self.error(
                    f"this supply has no {quoted(designator)}.",
                    allowed=listed(names),
                    remedy=near_miss(designator, names) or "Name one of these parts.",
                )
            raise self.unknown()
        actions = ACTIONS.get(part.kind, ())
        if len(rest) != 1:
            raise self.error(f"what is wrong with {designator}?", allowed=self.of_part(part, actions))
        action = rest[0]
        if f"{action}=" in actions:
            if not self.value:
                raise self.error(
                    f"the value is missing behind {designator} {action}=.",
                    remedy=f"Write for example {designator} {EXAMPLES[f'{action}=']}.",
                )
        elif action not in actions or self.equals:
            raise self.error(
                f"{quoted(action + self.equals)} can't happen to {designator}, a {part.kind}.",
                allowed=self.of_part(part, actions),
                remedy=near_miss(action, actions) or "",
            )
        if not part.fitted:
            raise self.error(
                f"{designator} isn't fitted, so it can't fail.", remedy="Fit it, or name another part."
            )
        if action in ("value", "dried"):
            return self.capacitor_change(part, action)
        if action == "leaky":
            resistance = self.quantity(self.value, "ohm", "leaky=").value
            return self.fault(designator, action, values=(resistance,))
        return self.fault(designator, action)

    @staticmethod
    def of_part(part: Part, actions: tuple[str, ...]) -> str:
        return listed(f"{part.designator} {EXAMPLES.get(action, action)}" for action in actions) or "no fault"

    def winding(self, target: str, rest: list[str]) -> tuple[Fault, dict[str, object]]:
        actions = ("open", "half-shorted") if target == "winding" else ("open",)
        transformer = self.supply.transformer
        if transformer is None:
            raise self.error("this supply has no transformer.", allowed=overview(self.supply))
        if rest[:1] == [] or rest[0] not in actions or len(rest) != 1:
            raise self.error(
                f"what is wrong with the {target}?",
                allowed=listed(f"{target} {action}" for action in actions),
                remedy=near_miss(" ".join(rest), actions),
            )
        if target in ("winding_a", "winding_b") and transformer.secondary == "single":
            raise self.error("the winding has one section.", allowed="winding open", remedy="Write winding open.")
        if target != "primary" and self.supply.mains.phases == 3:
            raise self.error(
                "three phases have three windings.", remedy="Lift a lead instead: wire-off D1.winding_1."
            )
        return self.fault(target, rest[0])

    def tap(self, rest: list[str]) -> tuple[Fault, dict[str, object]]:
        if self.supply.transformer is None or self.supply.transformer.secondary != "centre-tapped":
            raise self.error("this supply has no tap.", allowed=overview(self.supply))
        if len(rest) != 2 or rest[0] != "to":
            raise self.error("where is the tap wired?", remedy="Write for example tap to negative.")
        return self.fault("tap", "to", nodes=(self.node(rest[1]),))

    def two_nodes(self, first: str, rest: list[str]) -> tuple[str, str]:
        if len(rest) != 2:
            raise self.error(
                f"{first} needs two nodes.",
                allowed=listed(nodes(self.supply)),
                remedy=f"Write for example {first} {' '.join(nodes(self.supply)[:2])}.",
            )
        one, other = self.node(rest[0]), self.node(rest[1])
        if one == other:
            raise self.error("both nodes are the same.", remedy="Name two nodes.")
        return one, other

    def wire_off(self, rest: list[str]) -> tuple[Fault, dict[str, object]]:
        designator, dot, node = (rest[0] if len(rest) == 1 else "").partition(".")
        if not dot:
            raise self.error("which lead is off?", remedy="Write part and node: wire-off D1.positive.")
        part = next((part for part in parts(self.supply) if part.designator == designator), None)
        if part is None:
            names = _names(self.supply)
            raise self.error(
                f"this supply has no {quoted(designator)}.",
                allowed=listed(names),
                remedy=near_miss(designator, names) or "Name one of these parts.",
            )
        self.node(node)
        if not any(same_node(self.supply, node, lead) for lead in part.nodes):
            known = [lead for lead in part.nodes if lead in nodes(self.supply)]
            raise self.error(
                f"{designator} has no lead on the node {quoted(node)}.",
                allowed=listed(f"wire-off {designator}.{lead}" for lead in known),
            )
        return self.fault("wire-off", "", nodes=(designator, node))

    # -------------------------------------------------------------------------------------------- values and errors

    def node(self, name: str) -> str:
        known = nodes(self.supply)
        if name not in known:
            raise self.error(
                f"this circuit has no node {quoted(name)}.",
                allowed=listed(known),
                remedy=near_miss(name, known) or "Name one of these nodes.",
            )
        return name

    def quantity(self, text: str, unit: str, words: str, *, zero: bool = False) -> Quantity:
        if not text:
            raise self.error(f"the value is missing behind {words}.", remedy=f"Write for example {EXAMPLES[words]}.")
        try:
            quantity = read_quantity(text, unit)
        except QuantityError as error:
            raise self.error(f'"{error.given}" {error.reason}.', remedy=error.remedy) from None
        if quantity.value < 0.0 or (quantity.value == 0.0 and not zero):
            raise self.error(f"{quoted(text)} is out of range.", allowed="at least 0" if zero else "more than 0")
        return quantity

    def unknown(self) -> SheetError:
        known = known_faults(self.supply)
        return self.error(
            "no fault of this supply is called so.",
            allowed=overview(self.supply),
            remedy=near_miss(self.words, known),
        )

    def error(self, problem: str, *, allowed: str = "", remedy: str = "") -> SheetError:
        return _error(self.supply, self.words, problem, allowed=allowed, remedy=remedy)


def _names(supply: Supply) -> tuple[str, ...]:
    return tuple(part.designator for part in parts(supply))


def _error(supply: Supply, words: str, problem: str, *, allowed: str = "", remedy: str = "") -> SheetError:
    return SheetError(
        [
            SheetFault(
                file=supply.origin,
                line="fault",
                key=f'"{shown(words)}"',
                given=shown(words),
                problem=problem,
                allowed=allowed,
                remedy=remedy,
            )
        ]
    )
