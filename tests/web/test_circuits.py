"""The eight circuits, their boxes, their form and their pictures."""

from __future__ import annotations

import json
import re
from importlib.resources import files

import pytest

from railwright.supply import SheetError, read_text
from railwright.web.boxes import boxes_of, sliders_of, with_boxes
from railwright.web.circuits import STARTS, BoxError, sheet_of
from railwright.web.form import form_of, key_of
from railwright.web.page import read_texts


def of(name: str, **boxes: str) -> str:
    start = STARTS[name]
    given = {"winding": start.winding, "capacitor": start.capacitor, "load": start.load, "load_kind": start.load_kind,
             "region": "uk", "title": name, **boxes}  # fmt: skip
    return sheet_of(name, **given)


def test_the_eight_are_those_of_the_first_five_minutes() -> None:
    assert list(STARTS) == [
        "half-wave", "centre-tap", "bridge", "bridge-choke", "bridge-regulator", "dual-rail", "full-wave-doubler",
        "half-wave-doubler",
    ]  # fmt: skip


@pytest.mark.parametrize("name", STARTS)
@pytest.mark.parametrize("region", ["uk", "us"])
def test_each_is_a_right_sheet_with_three_boxes(name: str, region: str) -> None:
    supply = read_text(of(name, region=region))
    # 230 V 50 Hz and 120 V 60 Hz: IEC 60038 (from memory).
    assert (supply.mains.voltage, supply.mains.frequency) == {"uk": (230.0, 50.0), "us": (120.0, 60.0)}[region]
    boxes = {box["name"]: box for box in boxes_of(supply)}
    assert set(boxes) == {"winding", "capacitor", "load"}
    start = STARTS[name]
    assert (boxes["winding"]["value"], boxes["capacitor"]["value"], boxes["load"]["value"]) == (
        start.winding, start.capacitor, start.load,
    )  # fmt: skip
    assert boxes["capacitor"]["shown"] == "µF"
    assert [slider["part"] for slider in sliders_of(supply)] == ["capacitor", "load", "mains"]


@pytest.mark.parametrize("name", [name for name, start in STARTS.items() if not start.in_stages])
def test_without_a_capacitor_its_box_is_left_empty(name: str) -> None:
    text = of(name, capacitor="")
    supply = read_text(text)
    assert all(section.kind != "capacitor" for section in supply.filters)
    filled, _ = with_boxes(text, {"capacitor": "470"})
    assert [box["value"] for box in boxes_of(read_text(filled)) if box["name"] == "capacitor"] == ["470"]
    emptied, _ = with_boxes(filled, {"capacitor": ""})
    assert not any(s.fitted for s in read_text(emptied).filters if s.kind == "capacitor")
    assert [box["value"] for box in boxes_of(read_text(emptied)) if box["name"] == "capacitor"] == [""]
    again, _ = with_boxes(emptied, {"capacitor": "470"})
    assert any(s.fitted and s.value == pytest.approx(470e-6) for s in read_text(again).filters if s.kind == "capacitor")


def test_a_doubler_needs_its_capacitors() -> None:
    with pytest.raises(BoxError, match="doubler") as caught:
        of("full-wave-doubler", capacitor="")
    assert caught.value.box == "capacitor"


def test_both_capacitors_of_a_doubler_follow_one_box() -> None:
    text, _ = with_boxes(of("half-wave-doubler"), {"capacitor": "1000"})
    rectifier = read_text(text).tree["rectifier"]
    assert rectifier["pump_capacitor"] == rectifier["stage_capacitor"] == "1000 uF"


def test_a_load_may_be_typed_as_a_current() -> None:
    text, notes = with_boxes(of("bridge"), {"load": "150 mA", "load_kind": "current"})
    assert read_text(text).tree["load"] == {"current": "150 mA"}
    assert "gave way" in notes[0]


@pytest.mark.parametrize(
    ("box", "given"), [("winding", "twelve"), ("capacitor", "2200 V"), ("load", ""), ("load", "0 ohm x")]
)
def test_a_box_that_cannot_be_read_is_named_with_what_to_write(box: str, given: str) -> None:
    with pytest.raises(SheetError) as caught:
        with_boxes(of("bridge"), {box: given})
    (fault,) = caught.value.faults
    assert fault.key == box
    assert fault.remedy


def test_a_value_that_the_sheet_refuses_comes_back_at_its_box() -> None:
    with pytest.raises(SheetError) as caught:
        with_boxes(of("bridge"), {"load": "-5"})
    assert {fault.key for fault in caught.value.faults} == {"load"}


@pytest.mark.parametrize("name", STARTS)
def test_every_quantity_of_the_form_has_its_unit_beside_it(name: str) -> None:
    form = form_of(read_text(of(name)))
    fields = [field for table in form["tables"] for field in table["fields"]]
    assert len(fields) >= 7
    for field in fields:
        if field["takes"] == "quantity":
            assert field["shown"], field["key"]
            assert re.fullmatch(r"[\d.]+", field["value"]), field
        key = key_of(field["key"])
        assert key is not None
        assert key.name == field["name"]


def test_the_form_says_what_could_be_added_and_what_stands_only_in_the_text() -> None:
    text = of("bridge") + '\n[[point]]\nname = "light"\nset = { "load.resistance" = "1 kohm" }\n'
    form = form_of(read_text(text))
    assert {table["name"] for table in form["add"]} == {"filter", "fuse", "probe", "regulator", "conditions"}
    assert form["inText"] == ["point"]
    transformer = next(table for table in form["tables"] if table["path"] == "transformer")
    assert "transformer.regulation" in {more["key"] for more in transformer["more"]}


@pytest.mark.parametrize("name", STARTS)
def test_the_kept_picture_is_what_the_house_would_draw(name: str) -> None:
    pytest.importorskip("schemdraw", reason="schemdraw isn't installed (extra: draw)")
    from railwright.web.pictures import picture_of

    kept = (files("railwright.web") / "static" / "circuits" / f"{name}.svg").read_text(encoding="utf-8")
    assert kept == picture_of(name), "draw them anew: python -m railwright.web.pictures"


def test_every_word_that_the_page_asks_for_stands_in_the_file_of_texts() -> None:
    texts = read_texts()

    def has(path: str) -> bool:
        found: object = texts
        for step in path.split("."):
            if not isinstance(found, dict) or step not in found:
                return False
            found = found[step]
        return isinstance(found, str)

    folder = files("railwright.web") / "static"
    asked: set[str] = set()
    for entry in folder.iterdir():
        if entry.name.endswith(".js"):
            asked |= set(re.findall(r'\bt\("([\w.-]+)"', entry.read_text(encoding="utf-8")))
        elif entry.name.endswith(".html"):
            asked |= set(re.findall(r"\{\{([\w.]+)\}\}", entry.read_text(encoding="utf-8"))) - {"version"}
    assert len(asked) > 80
    assert sorted(path for path in asked if not has(path)) == []
    for name in STARTS:
        assert has(f"circuits.{name}")
    # A translation is another file of the same shape: nothing else may hold words.
    assert json.dumps(texts)
