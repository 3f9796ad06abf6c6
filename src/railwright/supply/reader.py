"""Reads a sheet: text in, a checked supply out, or every fault of the sheet at once."""

from __future__ import annotations

import dataclasses
import itertools
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Any, Final, cast

from railwright.quantities import format_quantity
from railwright.readings import UnknownReading, define
from railwright.supply.cells import Reading, Table, as_mapping
from railwright.supply.changes import TreeEdit
from railwright.supply.designators import nodes, parts
from railwright.supply.errors import FaultList, SheetError, SheetFault, as_written, dotted, listed, quoted, shown
from railwright.supply.keys import CIRCUITS, DUAL_CIRCUITS, SECTIONS
from railwright.supply.locate import Path, key_lines
from railwright.supply.model import (
    Conditions,
    Load,
    Loads,
    Mains,
    Margins,
    Measured,
    Point,
    Rectifier,
    Regulator,
    Requirement,
    Supply,
)
from railwright.supply.network_of_elements import read_elements, read_network
from railwright.supply.nominal import nominal_output
from railwright.supply.sections import (
    read_conditions,
    read_extra,
    read_filter_section,
    read_fuse,
    read_loads,
    read_mains,
    read_margins,
    read_probe,
    read_rectifier,
    read_regulators,
    read_transformer,
)

LARGEST_SHEET: Final = 1_000_000  # bytes; a sheet is some thousand
MOST_PARTS: Final = 200  # in one list: more is a slip, and slow
#: First words of keys that describe more than a state of the circuit.
NOT_IN_A_POINT: Final = ("kind", "point", "measured", "element", "network", "title", "note")
FULL_LOAD: Final = "full_load"
NO_LOAD: Final = "no_load"
#: Other files that start with `kind`, and what reads them.
OTHER_FILES: Final[Mapping[str, str]] = {
    "brief": "railwright design",
    "question-set": "railwright exercises",
    "lesson": "railwright lesson",
    "parts": "the part tables",
    "readings": "railwright compare",
    "course": "the option --course",
}
#: The words of a corner's name; it holds at most one of each group.
CORNER_WORDS: Final = (
    ("nominal", "mains low", "mains high"),
    ("full load", "no load"),
    ("hot", "cold"),
    ("new", "aged"),
    ("start-up",),
)
#: Sections that describe the standard circuit, and so can't stand beside a network of one's own.
CIRCUIT_SECTIONS: Final = ("mains", "transformer", "rectifier", "filter", "regulator", "load", "fuse")
DESIGNATOR: Final = re.compile(r"[CDFLRTUZ][1-9][0-9]{0,3}")
PLACE_NAMES: Final = (
    "mains", "primary", "secondary", "secondary_a", "secondary_b", "rectifier", "load", "load_positive",
    "load_negative", "load_across", "supply", "tap",
)  # fmt: skip
#: Slips that people make, looked for in a line whose quoted texts are emptied, and what to do.
TYPICAL_SLIPS: Final = (
    (re.compile("[“”„‘’«»]"), 'Use straight quotation marks: ".'),
    (
        re.compile(r"=\s*[-+]?\.?\d[\d.,]*\s*(?:[µΩ°%]|[A-Za-z])[\wµΩ°%/]*\s*(?:[,}\]#]|$)"),
        'Put the quantity in quotes, for example voltage = "230 V".',
    ),
    (re.compile(r"=\s*(?:True|False|TRUE|FALSE|yes|no|on|off)\s*(?:[,}\]#]|$)"), "Write true or false."),
    (re.compile(r"=\s*[A-Za-z][\w -]*\s*(?:[,}\]#]|$)"), 'Put the word in quotes, for example circuit = "bridge".'),
    (re.compile(r"^\s*[\w.-]+\s*:"), "Write = between key and value."),
    (re.compile(r"^\s*\[[^\]]*$"), "Close the brackets around the table's name."),
)


# ---------------------------------------------------------------------------------------------------- from outside


def read_sheet(path: str | FilePath) -> Supply:
    """Read the sheet in a file.

    Parameters
    ----------
    path : str or Path
        A TOML file in UTF-8.

    Raises
    ------
    SheetError
        With all faults of the sheet, or the one reason why the file can't be read.
    """
    file = FilePath(path)
    name = file.name or str(path)
    try:
        if file.is_dir():
            raise _single(name, "this is a folder, not a sheet.", remedy="Name the TOML file in it.")
        with file.open("rb") as stream:
            content = stream.read(LARGEST_SHEET + 1)
    except FileNotFoundError:
        near = sorted(other.name for other in _beside(file))
        raise _single(
            name,
            "there is no such file.",
            given=str(path),
            allowed=listed(near[:6]),
            remedy="Check the name and the folder.",
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _single(name, f"the file can't be opened: {reason}.", remedy="Check the name and its rights.") from None
    if len(content) > LARGEST_SHEET:
        raise _too_large(name)
    return read_text(_decoded(content, name), origin=name)


def read_text(text: str, *, origin: str = "sheet") -> Supply:
    """Read a sheet from text; `origin` is what messages call it.

    Raises
    ------
    SheetError
        With all faults of the sheet: `faults` holds file, line, key, given, allowed and remedy of each.

    >>> sheet = '''
    ... mains = { voltage = "12 V", frequency = "50 Hz", source = "adapter" }
    ... rectifier = { circuit = "half-wave" }
    ... load = { resistance = "1 kohm" }
    ... '''
    >>> read_text(sheet).loads.single.value
    1000.0
    """
    if len(text) > LARGEST_SHEET:
        raise _too_large(origin)
    text = text.removeprefix("\ufeff")
    try:
        tree = tomllib.loads(text)
        lines = key_lines(text)
    except tomllib.TOMLDecodeError as error:
        raise SheetError([_syntax_fault(text, str(error), origin)]) from None
    except RecursionError:
        raise _too_deep(origin) from None
    except ValueError as error:  # a number with more digits than the interpreter converts, for one
        raise _single(origin, f"this is no readable TOML: {as_written(str(error))}.") from None
    try:
        return supply_from_tree(tree, lines=lines, origin=origin)
    except RecursionError:
        raise _too_deep(origin) from None


def supply_from_tree(
    tree: Mapping[str, Any],
    *,
    lines: Mapping[Path, int | str],
    origin: str,
    place: str = "",
    changes: tuple[str, ...] = (),
    with_points: bool = True,
) -> Supply:
    """Check a parsed sheet and make its supply.

    `place` stands in messages where a key has no line ("set"); `changes` say what was done to the sheet before, and
    join the notes; `with_points` checks every [[point]] by setting its keys.
    """
    faults = FaultList(file=origin, lines=dict(lines), place=place)
    top = Table(Reading(faults), (), dict(tree), "")
    kind = tree.get("kind", "supply")
    if isinstance(kind, str) and kind in OTHER_FILES:
        top.fault(
            "kind",
            f"this file is a {kind}, and the sheet of a supply is wanted.",
            allowed="supply",
            remedy=f"A {kind} is for {OTHER_FILES[kind]}; name another file here.",
        )
        raise SheetError(faults.faults)
    top.check_keys()
    top.choice("kind")
    supply = _own_network(top) if "element" in tree else _standard_circuit(top)
    if with_points:
        _check_points(top, supply)
    if faults.faults:
        raise SheetError(faults.in_order())
    return dataclasses.replace(supply, changes=changes, notes=(*supply.notes, *changes))


def _check_points(top: Table, supply: Supply) -> None:
    """Set the keys of every point, and check what comes of it; faults are told at the point's line."""
    faults = top.faults
    told = {(fault.key, fault.problem) for fault in faults.faults}
    written = top.content.get("point")
    for position, item in enumerate(written[:MOST_PARTS] if isinstance(written, list) else (), 1):
        path: Path = ("point", position, "set")
        line = faults.line_of(path)
        trial = FaultList(file=faults.file, lines={}, place="")
        edit = TreeEdit(supply.tree, trial)
        for key, value in flattened(as_mapping(as_mapping(item).get("set"))).items():
            if key == "rectifier.circuit" or key.partition(".")[0] in NOT_IN_A_POINT:
                faults.add(
                    (*path, key),
                    f"a point can't set {quoted(key)}: it is a state of one and the same circuit.",
                    given=key,
                    remedy="Write a sheet of its own.",
                )
                continue
            edit.set(key, value)
        found = list(trial.faults)
        if edit.touched:
            lines = faults.lines | {touched: line for touched in edit.touched if line is not None}
            try:
                supply_from_tree(edit.tree, lines=lines, origin=faults.file, with_points=False)
            except SheetError as error:
                found += [fault for fault in error.faults if (fault.key, fault.problem) not in told]
        faults.faults += [
            dataclasses.replace(fault, line=fault.line or line, key=f"{dotted(path)}: {fault.key}") for fault in found
        ]


# ----------------------------------------------------------------------------------------------- the whole supply

_NO_RECTIFIER: Final = Rectifier(circuit="none")
_NO_MAINS: Final = Mains(voltage=1.0, frequency=50.0)  # stands in while the faults of a sheet without mains are told


def _standard_circuit(top: Table) -> Supply:
    conditions_table = _section(top, "conditions")
    conditions = read_conditions(conditions_table) if conditions_table is not None else Conditions()
    mains_table = _section(top, "mains", required=True)
    mains = _NO_MAINS
    if mains_table is not None:
        mains_table.check_keys()
        mains = read_mains(mains_table)
    transformer_table = _section(top, "transformer")
    transformer = read_transformer(transformer_table, mains, conditions) if transformer_table is not None else None
    rectifier_table = _section(top, "rectifier", required=True)
    rectifier = read_rectifier(rectifier_table, mains, transformer) if rectifier_table is not None else _NO_RECTIFIER
    dual = rectifier.circuit in DUAL_CIRCUITS
    # While the circuit is unknown, the rails are taken as the tables behind it speak of them: one fault is enough.
    if rectifier_table is None or rectifier_table.content.get("circuit") not in CIRCUITS:
        dual = any("positive" in as_mapping(top.content.get(name)) for name in ("load", "regulator"))
    filters = tuple(read_filter_section(top.reading, path, item, dual=dual) for path, item in _limited(top, "filter"))
    regulator_table = _section(top, "regulator")
    regulators = read_regulators(regulator_table, dual=dual) if regulator_table is not None else {}
    load_table = _section(top, "load", required=True)
    loads = read_loads(load_table, mains, dual=dual) if load_table is not None else {}
    fuse_table = _section(top, "fuse")
    if "network" in top:
        top.fault("network", "[network] belongs to a sheet with [[element]].", remedy="Take it out.")
    if mains.source == "outlet" and transformer is None:
        top.faults.note(
            "No transformer and an outlet: the whole circuit is at mains potential, and mains can kill. It is computed "
            "and drawn, it is not for building. An adapter or a generator says so with mains.source."
        )
    supply = Supply(
        mains=mains,
        transformer=transformer,
        rectifier=rectifier,
        filters=filters,
        regulator=regulators.get(""),
        regulator_positive=regulators.get("positive"),
        regulator_negative=regulators.get("negative"),
        loads=Loads(
            single=loads.get(""),
            positive=loads.get("positive"),
            negative=loads.get("negative"),
            across=loads.get("across"),
        ),
        fuse=read_fuse(fuse_table) if fuse_table is not None else None,
        conditions=conditions,
    )
    if not top.faults.faults:
        supply = _with_floors(supply, top)
    return _with_the_rest(top, supply)


def _own_network(top: Table) -> Supply:
    for name in CIRCUIT_SECTIONS:
        if name in top:
            top.fault(
                name,
                f"[{name}] describes the standard circuit, and [[element]] a network of its own.",
                remedy="Keep one of the two: a source element takes the keys of [mains].",
            )
    elements = read_elements(top.reading, _limited(top, "element"))
    if not elements and isinstance(top.content["element"], list):
        top.fault("element", "the list is empty.", remedy="Add [[element]] tables, or take it out.")
    network_table = _section(top, "network", required=True)
    network = read_network(network_table, elements) if network_table is not None else None
    source = next((element.source for element in elements if element.source is not None), _NO_MAINS)
    conditions_table = _section(top, "conditions")
    supply = Supply(
        mains=source,
        rectifier=_NO_RECTIFIER,
        loads=Loads(),
        elements=elements,
        network=network,
        conditions=read_conditions(conditions_table) if conditions_table is not None else Conditions(),
    )
    return _with_the_rest(top, supply)


def _section(top: Table, name: str, *, required: bool = False) -> Table | None:
    """The table of one section; None if it is absent (a fault, if required) or no table."""
    if name in top:
        table = Table(top.reading, (name,), top.content[name], name)
        return None if table.wrong else table
    if required:
        section = SECTIONS[name]
        top.faults.add(
            (),
            f"[{name}] is missing: {section.meaning}.",
            allowed=listed(section.names),
            remedy=f"Add a table [{name}].",
        )
    return None


def _limited(top: Table, name: str) -> list[tuple[Path, Any]]:
    items = top.items(name)
    if len(items) > MOST_PARTS:
        top.fault(name, f"the list has {len(items)} entries.", allowed=f"at most {MOST_PARTS}", given=str(len(items)))
        return items[:MOST_PARTS]
    return items


def _with_floors(supply: Supply, top: Table) -> Supply:
    """Give each power load that states no minimum_voltage half of its rail's nominal output as its floor."""

    def output(regulator: Regulator | None) -> float:
        return nominal_output(supply.mains, supply.transformer, supply.rectifier, supply.filters, regulator)

    rails = {
        "single": output(supply.regulator),
        "positive": output(supply.regulator_positive),
        "negative": output(supply.regulator_negative),
    }
    rails["across"] = rails["positive"] + rails["negative"]
    written = as_mapping(top.content["load"])
    changed: dict[str, Load | None] = {}
    for place, nominal in rails.items():
        load: Load | None = getattr(supply.loads, place)
        table = as_mapping(written[place]) if place in written else written
        if load is None or load.kind != "power" or "minimum_voltage" in table:
            continue
        if nominal <= 0.0:
            top.faults.add(
                ("load",), "minimum_voltage is missing, and the nominal output is 0 V.", remedy="State minimum_voltage."
            )
            continue
        changed[place] = dataclasses.replace(load, minimum_voltage=nominal / 2.0)
        name = "load" if place == "single" else f"load.{place}"
        top.faults.note(
            f"{name}.minimum_voltage isn't stated: half the nominal output is taken, "
            f"{format_quantity(nominal / 2.0, 'V')}."
        )
    return dataclasses.replace(supply, loads=dataclasses.replace(supply.loads, **changed)) if changed else supply


def _with_the_rest(top: Table, supply: Supply) -> Supply:
    """Add what both sorts of sheet may have: names, probes, extras, points, requirements and the like."""
    reading, faults = top.reading, top.faults
    builds = _section(top, "builds")
    if builds is not None:
        builds.check_keys()
    margins = _section(top, "margins")
    points = _points(top)
    supply = dataclasses.replace(
        supply,
        title=top.text("title"),
        note=top.text("note"),
        probes=tuple(read_probe(reading, path, item) for path, item in _limited(top, "probe")),
        extras=tuple(read_extra(reading, path, item) for path, item in _limited(top, "extra")),
        points=points,
        margins=read_margins(margins) if margins is not None else Margins(),
        builds_distribution=cast(Any, builds.choice("distribution", "uniform")) if builds is not None else "uniform",
    )
    # Names of nodes and parts are judged only where the circuit is known: else one slip would bring many faults.
    circuit_known = bool(supply.elements) or as_mapping(top.content.get("rectifier")).get("circuit") in CIRCUITS
    if circuit_known:
        _check_names(top, supply)
        _check_nodes(top, supply)
    designators = {part.designator: part.kind for part in parts(supply)} if circuit_known else {}
    supply = dataclasses.replace(
        supply,
        initial=_initial(top, designators),
        requirements=_requirements(top, supply, designators),
        measured=_measured(top, supply, designators),
    )
    return dataclasses.replace(
        supply,
        origin=faults.file,
        tree=top.content,
        lines=faults.lines,
        tolerances=dict(reading.tolerances),
        notes=tuple(faults.notes),
    )


def _check_names(top: Table, supply: Supply) -> None:
    """Probes and extras need names that nothing else has."""
    taken = {part.designator: "a part of the circuit" for part in parts(dataclasses.replace(supply, extras=()))}
    taken |= dict.fromkeys(PLACE_NAMES, "a place of every circuit")
    named: list[tuple[str, str, int]] = [("extra", extra.name, at) for at, extra in enumerate(supply.extras, 1)]
    named += [("probe", probe.name, at) for at, probe in enumerate(supply.probes, 1)]
    for section, name, position in named:
        if not name:
            continue
        if name in taken:
            top.faults.add(
                (section, position, "name"),
                f'"{name}" is already the name of {taken[name]}.',
                given=name,
                remedy="Give each its own name.",
            )
        taken.setdefault(name, "a probe" if section == "probe" else "an extra")


def _check_nodes(top: Table, supply: Supply) -> None:
    known = nodes(supply)
    leads: list[tuple[Path, str]] = []
    for at, probe in enumerate(supply.probes, 1):
        leads += [(("probe", at, "from"), probe.positive), (("probe", at, "to"), probe.negative)]
    for at, extra in enumerate(supply.extras, 1):
        leads += [(("extra", at, "from"), extra.start), (("extra", at, "to"), extra.end)]
    for path, node in leads:
        if node and node not in known:
            top.faults.add(
                path,
                f'this circuit has no node "{node}".',
                given=node,
                allowed=listed(known),
                remedy=top.faults.near(node, known) or "Name one of these nodes.",
            )


# ---------------------------------------------------------------------------------- points, readings, start values


def _points(top: Table) -> tuple[Point, ...]:
    points: dict[str, Point] = {}
    for path, item in _limited(top, "point"):
        table = Table(top.reading, path, item, "point")
        table.check_keys()
        name = table.name("name", "")
        if name in (FULL_LOAD, NO_LOAD):
            table.fault("name", f'the point "{name}" always exists.', remedy="Choose another name.")
        if name and name in points:
            table.fault("name", f'"{name}" is the name of an earlier point.', remedy="Give each its own name.")
        changes = table.content.get("set")
        if changes is None:
            table.missing("set")
        elif not isinstance(changes, dict):
            table.fault("set", f"{quoted(changes)} is no table.", remedy=f"Write set = {table.key('set').example}.")
        else:
            flat = flattened(changes)
            if not flat:
                table.fault("set", "the point changes nothing.", remedy=f"Write set = {table.key('set').example}.")
            points.setdefault(name or str(path[-1]), Point(name=name, set=flat))
    return tuple(points.values())


def flattened(changes: Mapping[str, Any]) -> dict[str, Any]:
    """Keys with dots, whether they were written in quotes or not.

    TOML reads an unquoted `load.resistance = ...` as a table in a table; both ways mean the same key here. Values
    that are tables themselves (a diode) stay whole below a key that holds one.
    """
    flat: dict[str, Any] = {}
    waiting = list(changes.items())
    while waiting:
        key, value = waiting.pop(0)
        if isinstance(value, dict) and value and key.rpartition(".")[2] != "diode" and len(flat) < MOST_PARTS:
            waiting[:0] = [(f"{key}.{inner}", content) for inner, content in value.items()]
        else:
            flat[key] = value
    return flat


def _initial(top: Table, designators: Mapping[str, str]) -> dict[str, float]:
    table = _section_content(top, "initial")
    holding = {name: kind for name, kind in designators.items() if kind in ("capacitor", "choke")}
    start: dict[str, float] = {}
    cell = Table(top.reading, ("initial",), {}, "")
    for name, value in table.items():
        path: Path = ("initial", name)
        if designators and name not in holding:
            top.faults.add(
                path,
                f"{quoted(name)} is no capacitor or choke of this supply.",
                given=name,
                allowed=listed(holding) or "nothing: it has none",
                remedy=top.faults.near(name, holding) or "Take it out.",
            )
            continue
        quantity = cell.quantity(path, value, "A" if holding.get(name) == "choke" else "V", None)
        if quantity is not None:
            start[name] = quantity.value
    return start


def _section_content(top: Table, name: str) -> Mapping[str, Any]:
    content = top.content.get(name, {})
    if not isinstance(content, dict):
        top.fault(name, f"{quoted(content)} is no table.", remedy=f"Write [{name}], or take it out.")
        return {}
    return content


def _unit_of_reading(top: Table, path: Path, reading_id: str, supply: Supply, designators: Mapping[str, str]) -> str:
    """The unit of a reading that this supply can have; "" (and a fault) for any other."""
    names = [*(probe.name for probe in supply.probes), *(name for name in designators if name)]
    try:
        unit = define(reading_id, names=names).unit
    except UnknownReading as error:
        top.faults.add(path, str(error), given=reading_id)
        return ""
    place, _, measure = reading_id.partition(".")
    if measure == "indicated":
        probes = [probe.name for probe in supply.probes]
        if place not in probes:
            top.faults.add(
                path,
                f'there is no probe "{place}".',
                given=reading_id,
                allowed=listed(f"{name}.indicated" for name in probes),
                remedy=top.faults.near(place, probes) or "Add a [[probe]] of that name.",
            )
            return ""
    elif designators and DESIGNATOR.fullmatch(place) and place not in designators:
        top.faults.add(
            path,
            f"this supply has no {place}.",
            given=reading_id,
            allowed=listed(designators),
            remedy=top.faults.near(place, designators) or "Name one of these parts.",
        )
        return ""
    return unit


def _requirements(top: Table, supply: Supply, designators: Mapping[str, str]) -> tuple[Requirement, ...]:
    found = []
    for name, item in _section_content(top, "requirement").items():
        path: Path = ("requirement", name)
        if "." not in name and isinstance(item, dict) and not any(key in item for key in ("at_least", "at_most")):
            top.faults.add(
                path,
                f"{quoted(name)} is no reading.",
                given=name,
                remedy='Put the whole reading id in quotes: "load.voltage.mean" = { at_least = "10 V" }.',
            )
            continue
        unit = _unit_of_reading(top, path, name, supply, designators)
        table = Table(top.reading, path, item, "requirement")
        table.check_keys()
        if not unit or table.wrong:
            continue
        unit = "-" if unit == "1" else unit
        low, high = table.number("at_least", unit=unit), table.number("at_most", unit=unit)
        if "at_least" not in table and "at_most" not in table:
            table.fault("", "the requirement has no limit.", allowed="at_least, at_most", given="")
        if low is not None and high is not None and low > high:
            table.fault("at_most", "at_most is below at_least: nothing can meet both.", remedy="Exchange the two?")
        at = table.text("at") or None
        if at is not None and not _is_state(at, supply):
            table.fault(
                "at",
                f"{quoted(at)} is neither a corner nor a point.",
                allowed=listed([*point_names(supply), *(word for group in CORNER_WORDS for word in group)]),
                remedy=top.faults.near(at, [*point_names(supply), *(word for group in CORNER_WORDS for word in group)])
                or 'Write for example at = "mains low, full load".',
            )
        found.append(Requirement(reading=name, at_least=low, at_most=high, at=at))
    return tuple(found)


def point_names(supply: Supply) -> tuple[str, ...]:
    """The names that a load state can have: the two that always exist, then the sheet's."""
    return (FULL_LOAD, NO_LOAD, *(point.name for point in supply.points))


def _is_state(words: str, supply: Supply) -> bool:
    """Whether the words name a point, or a corner: words with commas between, at most one of each group."""
    if words in point_names(supply):
        return True
    given = [word.strip() for word in words.split(",")]
    groups = [next((at for at, group in enumerate(CORNER_WORDS) if word in group), None) for word in given]
    return None not in groups and len(set(groups)) == len(groups)


def _measured(top: Table, supply: Supply, designators: Mapping[str, str]) -> tuple[Measured, ...]:
    found = []
    for path, item in _limited(top, "measured"):
        table = Table(top.reading, path, item, "measured")
        table.check_keys()
        reading_id = table.text("reading", required=True)
        unit = ""
        if reading_id:
            unit = _unit_of_reading(top, (*path, "reading"), reading_id, supply, designators)
        if "value" not in table:
            table.missing("value")
        point = table.text("point") or None
        if point is not None and point not in point_names(supply):
            table.fault(
                "point",
                f"there is no point {quoted(point)}.",
                allowed=listed(point_names(supply)),
                remedy=top.faults.near(point, point_names(supply)) or "Add a [[point]] of that name.",
            )
        instrument = table.choice("instrument", "") or None
        if not unit:
            continue
        unit = "-" if unit == "1" else unit
        value = table.number("value", 0.0, unit=unit) or 0.0
        found.append(
            Measured(
                reading=reading_id,
                value=value,
                instrument=instrument,
                uncertainty=_uncertainty(table, unit, value),
                point=point,
            )
        )
    return tuple(found)


def _uncertainty(table: Table, unit: str, value: float) -> float | None:
    written = table.content.get("uncertainty")
    of_the_value = isinstance(written, str) and "%" in written and unit != "-"
    read = table.number("uncertainty", unit="%" if of_the_value else unit)
    if read is not None and read < 0.0:
        table.fault("uncertainty", f"{quoted(written)} is below zero.", remedy="Write the half width, without sign.")
        return None
    return abs(value) * read if read is not None and of_the_value else read


# ------------------------------------------------------------------------------------------------------- the faults


def _beside(file: FilePath) -> list[FilePath]:
    try:
        return list(itertools.islice(file.parent.glob("*.toml"), 100))
    except OSError:
        return []


def _single(
    file: str, problem: str, *, given: str = "", allowed: str = "", remedy: str = "", line: int | None = None
) -> SheetError:
    return SheetError(
        [SheetFault(file=file, problem=problem, given=given, allowed=allowed, remedy=remedy, line=line)]
    )


def _too_large(file: str) -> SheetError:
    return _single(
        file,
        f"this is larger than {LARGEST_SHEET // 1000} kB, and a sheet is a few kB.",
        remedy="Name the TOML file of a supply.",
    )


def _too_deep(file: str) -> SheetError:
    return _single(file, "lists or tables are nested too deeply.", remedy="A sheet needs four levels at most.")


def _decoded(content: bytes, name: str) -> str:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        utf16 = content[:2] in (b"\xff\xfe", b"\xfe\xff")
        raise _single(
            name,
            "the file isn't text in UTF-8" + (" but in UTF-16." if utf16 else "."),
            line=line,
            remedy="Save it with the encoding UTF-8.",
        ) from None


def _syntax_fault(text: str, message: str, origin: str) -> SheetFault:
    """TOML's own complaint with its line, and the remedy for the slips that people make."""
    place = re.search(r" \(at line (\d+), column \d+\)$", message)
    rows = text.replace("\r\n", "\n").split("\n")
    line = int(place.group(1)) if place else len(rows)
    # At a line's end the parser has already read the line break: the slip is on the line before.
    if place is None:
        while line > 1 and not rows[line - 1].strip():
            line -= 1
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    said = message[: place.start()] if place else message.removesuffix(" (at end of document)")
    bare = re.sub(r"\"[^\"]*\"|'[^']*'", "''", row)
    remedy = next((remedy for pattern, remedy in TYPICAL_SLIPS if pattern.search(bare)), "")
    if not remedy and bare.count("{") > bare.count("}"):
        remedy = "A table in braces stands on one line; for a longer one write [[filter]] and a line for each key."
    if "twice" in said or said.startswith("Cannot overwrite"):
        said = "the same key or table stands twice"
        remedy = "Keep one; several parts of one kind are written [[filter]] with two brackets."
    elif said.startswith("Cannot declare"):
        said = "this table was already written"
        remedy = "Keep one; several parts of one kind are written [[filter]] with two brackets."
    elif not remedy:
        remedy = 'A line is: key = "value with unit".'
    said = shown(said[:1].lower() + said[1:])
    return SheetFault(
        file=origin,
        line=line,
        given=shown(row.strip()),
        problem=f"this is no valid TOML: {said}." + (f" The line reads: {shown(row.strip())} ." if row.strip() else ""),
        remedy=remedy,
    )
