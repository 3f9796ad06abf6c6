"""The sheet as a form: every key that is there as a field that knows its unit, and what could be added."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from railwright.supply import SECTIONS, Key, Section, Supply
from railwright.web.typed import as_typed, shown_unit

#: Tables in the order of a sheet.
_ORDER: Final = (
    "", "mains", "transformer", "rectifier", "filter", "regulator", "load", "fuse", "probe", "extra", "conditions",
    "builds", "margins",
)  # fmt: skip
#: Tables that a form can add, each with the keys that it begins with.
_BEGIN: Final[Mapping[str, Mapping[str, object]]] = {
    "filter": {"capacitor": "1000 uF"},
    "fuse": {"rating": "1 A", "characteristic": "T", "side": "primary"},
    "probe": {"name": "meter", "from": "output", "to": "negative", "instrument": "meter-dc"},
    "regulator": {"kind": "series", "part": "7805"},
    "conditions": {"ambient": "25 °C"},
}
_TEXTS: Final = ("text", "word", "node", "ratio", "tolerance", "choice", "flag", "count", "quantity", "fraction")
_RAILS: Final = ("positive", "negative", "across")


def form_of(supply: Supply, *, decimal: str = ".") -> dict[str, Any]:
    """The form of a supply's sheet, as plain data: its tables with their fields, and the tables that can be added."""
    tables: list[dict[str, Any]] = []
    for name in _ORDER:
        section = SECTIONS[name]
        if name == "":
            tables.append(_table("", section, supply.tree, decimal, supply))
            continue
        found = supply.tree.get(name)
        if isinstance(found, list):
            for position, item in enumerate(found, start=1):
                tables += _with_rails(f"{name}.{position}", section, item, decimal, supply)
        elif isinstance(found, dict):
            tables += _with_rails(name, section, found, decimal, supply)
    can_add = [
        {"name": name, "heading": SECTIONS[name].heading, "meaning": SECTIONS[name].meaning, "values": dict(values)}
        for name, values in _BEGIN.items()
        if not supply.elements and (name not in supply.tree or SECTIONS[name].heading.startswith("[["))
        and not (name == "regulator" and supply.is_dual)
    ]
    return {"tables": tables, "add": can_add, "inText": sorted(_beyond(supply))}


def _with_rails(
    path: str, section: Section, table: Mapping[str, Any], decimal: str, supply: Supply
) -> Iterator[dict[str, Any]]:
    yield _table(path, section, table, decimal, supply)
    for rail in _RAILS:
        if section.name in ("load", "regulator") and isinstance(table.get(rail), dict):
            yield _table(f"{path}.{rail}", section, table[rail], decimal, supply)
    diode = table.get("diode")
    if section.name == "rectifier" and isinstance(diode, dict):
        yield _table(f"{path}.diode", SECTIONS["rectifier.diode"], diode, decimal, supply)


def _table(path: str, section: Section, table: Mapping[str, Any], decimal: str, supply: Supply) -> dict[str, Any]:
    fields, more = [], []
    kind = next((name for name in section.kinds if name in table), None)
    for key in section.keys:
        if key.name in table:
            if not isinstance(table[key.name], (dict, list)):
                fields.append(_field(path, key, table[key.name], decimal, supply))
        elif key.takes in _TEXTS and _fits(key, kind, section, supply):
            more.append({**_about(path, key), "example": _example(key, decimal)})
    return {
        "path": path,
        "section": section.name,
        "heading": section.heading if path.rpartition(".")[2] not in _RAILS else f"[{path}]",
        "meaning": section.meaning,
        "removable": section.heading.startswith("[[") or section.name in ("fuse", "regulator", "conditions"),
        "fields": fields,
        "more": more,
    }


def _fits(key: Key, kind: str | None, section: Section, supply: Supply) -> bool:
    """Whether a key may join the keys that are there."""
    if key.is_kind:
        # Another kind takes the old one's place: that is asked for in the text, or by a load's own choice.
        return section.name == "load"
    if not key.only:
        return True
    return kind in key.only or supply.rectifier.circuit in key.only


def _about(path: str, key: Key) -> dict[str, Any]:
    return {
        "key": f"{path}.{key.name}" if path else key.name,
        "name": key.name,
        "takes": key.takes,
        "unit": key.unit,
        "shown": shown_unit(key.unit) if key.takes in ("quantity", "fraction") else "",
        "meaning": key.meaning,
        "default": key.default,
        "choices": list(key.choices),
    }


def _field(path: str, key: Key, value: Any, decimal: str, supply: Supply) -> dict[str, Any]:
    about = _about(path, key)
    if key.takes in ("quantity", "fraction") and not isinstance(value, bool):
        stands = as_typed(value, key.unit, decimal=decimal)
    elif isinstance(value, bool):
        stands = "true" if value else "false"
    else:
        stands = str(value)
    steps = tuple(int(step) if step.isdecimal() else step for step in about["key"].split("."))
    line = supply.lines.get(steps)
    return {**about, "value": stands, "line": line if isinstance(line, int) else None, "isKind": key.is_kind}


def _example(key: Key, decimal: str) -> str:
    example = key.example.strip('"')
    if key.takes in ("quantity", "fraction") and " or " not in example:
        return as_typed(example, key.unit, decimal=decimal)
    return example


def _beyond(supply: Supply) -> Iterator[str]:
    """What the sheet has and the form doesn't show."""
    for name in supply.tree:
        if name in ("element", "network", "point", "requirement", "measured", "initial"):
            yield name


def key_of(path: str) -> Key | None:
    """The key that a dotted name of the sheet means; None if there is none."""
    steps = [step for step in path.split(".") if not step.isdecimal() and step not in _RAILS]
    *outer, name = steps
    section = SECTIONS.get(".".join(outer))
    return None if section is None else section.key(name)
