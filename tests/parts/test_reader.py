"""Part files of a reader's own: read whole, or refused with every fault named where it stands."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.parts import PartError, PartFault, read_parts, read_parts_text

# Invented data, for the harbour's own drawer of parts.
DRAWER = """\
kind = "parts"
title = "The workshop's drawer"

[source]
s1 = "Harbour workshop, notebook 3, page 12"

[[part]]
type = "diode"
name = "drawer diode 1"
class = "silicon rectifier 1 A"
provenance = "measured"
drop = { value = "0.82 V", spread = "typical", current = "100 mA", temperature = "22 °C" }
reverse_voltage_rating = { value = "400 V", spread = "max", provenance = "published, read", source = "s1" }
forward_points = [
  { value = "640 mV", spread = "typical", current = "1 mA" },
  { value = "960 mV", spread = "typical", current = "1 A" },
]

[[part]]
type = "regulator"
name = "drawer regulator"
class = "adjustable"
kind = "series"
output = { value = "1.25 V to 37 V", spread = "rule", provenance = "common practice, no source" }
"""


def faults_of(text: str) -> tuple[PartFault, ...]:
    with pytest.raises(PartError) as caught:
        read_parts_text(text, origin="drawer.toml")
    assert str(caught.value) == "\n".join(fault.text for fault in caught.value.faults)
    return caught.value.faults


def one_fault(text: str) -> PartFault:
    (fault,) = faults_of(text)
    return fault


def test_a_good_file_gives_its_parts_in_order_with_si_values(tmp_path: Path) -> None:
    path = tmp_path / "drawer.toml"
    path.write_text(DRAWER, encoding="utf-8")
    diode, regulator = read_parts(path)
    assert (diode.name, diode.type, diode.class_) == ("drawer diode 1", "diode", "silicon rectifier 1 A")
    (drop,) = diode.values["drop"]
    assert (drop.value, drop.unit, drop.spread, drop.provenance) == (0.82, "V", "typical", "measured")
    assert drop.condition("current", "A") == 0.1
    assert drop.condition("frequency", "Hz") is None
    assert [point.value for point in diode.values["forward_points"]] == [0.64, 0.96]
    assert diode.values["reverse_voltage_rating"][0].source == "Harbour workshop, notebook 3, page 12"
    assert regulator.facts["kind"] == "series"
    (output,) = regulator.values["output"]
    assert (output.value, output.text, output.unit) == (None, "1.25 V to 37 V", "")


def test_the_origin_of_a_value_tells_spread_conditions_and_source() -> None:
    diode = read_parts_text(DRAWER)[0]
    assert diode.values["reverse_voltage_rating"][0].origin == (
        "400 V max; published, read: Harbour workshop, notebook 3, page 12"
    )
    assert diode.values["drop"][0].origin == "0.82 V typical; current 100 mA; temperature 22 °C; measured"


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "sentence"),
    [
        ('"0.82 V"', '"0.82"', 12, "part.1.drop", '"0.82" has no unit.'),
        ('"0.82 V"', '"-0.82 V"', 12, "part.1.drop", "drop is less than zero. Allowed: zero or more."),
        ('"0.82 V"', "0.82", 12, "part.1.drop", '"0.82" is a bare number'),
        ('"640 mV"', '"640 mA"', 14, "part.1.forward_points.1", '"640 mA"'),
        ('current = "1 A"', 'current = "1 V"', 14, "part.1.forward_points.2.current", '"1 V"'),
        ('source = "s1"', 'source = "s2"', 13, "part.1.reverse_voltage_rating", 'the source "s2" is not under [source'),
        (', source = "s1"', "", 13, "part.1.reverse_voltage_rating", "what was read has a source."),
        ('spread = "max", ', "", 13, "part.1.reverse_voltage_rating", "reverse_voltage_rating has no spread."),
        ('"measured"', '"heard"', 12, "part.1.drop", "the provenance is none known. Allowed: published, read;"),
        ("\ndrop =", "\ndorp =", 12, "part.1.dorp", 'no key of a part of type diode. Allowed: reverse_voltage_rating'),
        ('"diode"', '"dioed"', 8, "part.1.type", '"dioed" is no type of part. Allowed: diode, bridge, zener'),
        ('name = "drawer regulator"\n', "", 19, "part.2.name", "the part has no name."),
        ('class = "adjustable"', 'class = ""', 22, "part.2.class", "the class of a part is a text that isn't empty."),
        ('"drawer regulator"', '"Drawer diode 1"', 21, "part.2.name", "is already the name of part 1."),
        ('kind = "series"', "kind = 7", 23, "part.2.kind", "kind is a text."),
    ],
)  # fmt: skip
def test_a_fault_names_line_and_key_and_says_what_is_wrong(
    old: str, new: str, line: int, key: str, sentence: str
) -> None:
    assert old in DRAWER
    faults = faults_of(DRAWER.replace(old, new, 1))
    fault = next(fault for fault in faults if fault.key == key)
    assert fault.line == line
    assert sentence in fault.text
    assert fault.text.startswith(f"drawer.toml, line {line}, {key}: ")


def test_a_near_key_is_suggested() -> None:
    fault = one_fault(DRAWER.replace("\ndrop =", "\ndorp =", 1))
    assert fault.remedy == 'Did you mean "drop"?'
    assert fault.given == "dorp"


def test_a_number_without_its_origin_is_not_taken() -> None:
    text = DRAWER.replace('drop = { value = "0.82 V", spread = "typical", current = "100 mA", temperature = "22 °C" }',
                          'drop = "0.82 V"')  # fmt: skip
    fault = one_fault(text)
    assert "a value of drop is a table with its spread and its provenance." in fault.text
    assert fault.text.endswith("A number without its origin is not taken.")


def test_all_faults_are_told_at_once_in_the_order_of_the_lines() -> None:
    text = DRAWER.replace('"0.82 V"', '"0.82"').replace('"640 mV"', '"0"').replace('"400 V"', '"-400 V"')
    faults = faults_of(text)
    assert [fault.line for fault in faults] == sorted(fault.line or 0 for fault in faults)
    assert len(faults) == 3


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", 'the file doesn\'t say what it is. Allowed: kind = "parts".'),
        ('kind = "supply"', 'kind is "supply". Allowed: kind = "parts".'),
        ('kind = "parts"', "the file holds no part. Start with kind"),
        ('kind = "parts"\npart = 3', "part is no list of tables."),
        ('kind = "parts"\nsource = 3\n', "each source is a text."),
        ('kind = "parts"\nparts = 3\n', '"parts" is no key of a part file. Allowed: kind, title, note, source, part.'),
        ('kind = "parts"\nkind = "parts"', "drawer.toml, line 2: this is no TOML: Cannot overwrite a value."),
        ("[[part]", "this is no TOML:"),
        ("a = " + "[" * 5000, "drawer.toml"),
        ("a = " + "1" * 5000, "a number has too many digits."),
        (DRAWER.replace('"0.82 V"', "0x" + "f" * 5000), "part.1.drop"),
    ],
)
def test_a_file_that_is_no_part_file_says_so(text: str, sentence: str) -> None:
    assert sentence in "\n".join(fault.text for fault in faults_of(text))


def test_a_file_that_can_not_be_read_says_so(tmp_path: Path) -> None:
    with pytest.raises(PartError, match="missing.toml: the file can't be read: No such file or directory"):
        read_parts(tmp_path / "missing.toml")
    with pytest.raises(PartError, match="the file can't be read"):
        read_parts(tmp_path)
    with pytest.raises(PartError, match="the file can't be read: no such path"):
        read_parts("a\x00b")
    (tmp_path / "latin.toml").write_bytes('kind = "°"'.encode("latin-1"))
    with pytest.raises(PartError, match="latin.toml: the file is no UTF-8 text. Save it as UTF-8."):
        read_parts(tmp_path / "latin.toml")


def test_the_byte_order_mark_of_an_editor_and_its_line_ends_are_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "drawer.toml"
    path.write_bytes(b"\xef\xbb\xbf" + DRAWER.replace("\n", "\r\n").encode())
    assert len(read_parts(path)) == 2


TOML_WORDS = st.sampled_from(
    ['"1 A"', "7", "true", "[]", "{}", '{ value = "1 V" }', "[{ value = 1 }]", "1979-05-27", "inf", '""', '"x"']
)


@given(
    type_=st.sampled_from(["diode", "series", "capacitor", "worked value", "fuse"]),
    key=st.sampled_from(
        ["type", "name", "class", "drop", "leakage", "note", "source", "provenance", "law", "grid", "by_rule", "given"]
    ),
    word=TOML_WORDS,
)
def test_any_value_under_any_key_is_taken_or_told(type_: str, key: str, word: str) -> None:
    lines = {"type": f'"{type_}"', "name": '"one"', "class": '"two"', "values": '["1.0"]', "gates": '"sheet 2"'}
    lines[key] = word
    text = 'kind = "parts"\n[[part]]\n' + "".join(f"{k} = {v}\n" for k, v in lines.items())
    try:
        read_parts_text(text)
    except PartError as error:
        assert error.faults
        assert all(fault.text for fault in error.faults)


@given(st.text(max_size=200))
def test_any_text_is_taken_or_told(text: str) -> None:
    try:
        read_parts_text(text)
    except PartError as error:
        assert error.faults
