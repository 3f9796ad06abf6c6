"""What a worker answers: numbers that a textbook gives, one reply for everything that follows a slider."""

from __future__ import annotations

import base64
import math
from typing import Any

import pytest

from railwright.study import read_text, solve
from railwright.web.answering import Refused, answer, begin, change, course, guarded, readings, sheet

pytest.importorskip("schemdraw", reason="schemdraw isn't installed (extra: draw)")
pytest.importorskip("latex2mathml", reason="latex2mathml isn't installed (extra: web)")


def question(name: str = "bridge", **more: Any) -> dict[str, Any]:
    text = begin({"circuit": name, "title": name})["sheet"]
    return {"sheet": text, "model": "textbook", "course": {"profile": "uk"}, "detail": "rest", **more}


def test_by_hand_agrees_with_the_calculator() -> None:
    """Bridge, 12 V RMS, 0.7 V a diode, 2200 µF, 100 Ω, 50 Hz: four lines of every course book, reckoned here."""
    peak = 12 * math.sqrt(2)
    load_peak = peak - 2 * 0.7
    ripple = load_peak / 100 / (2 * 50 * 2200e-6)
    mean = load_peak - ripple / 2
    lines = answer(question())["working"]["lines"]
    shown = [line["plain"].rpartition("= ")[2] for line in lines]
    assert shown == [f"{peak:.1f} V", f"{load_peak:.1f} V", f"{ripple:.3f} V", f"{mean:.1f} V"]
    assert [len(line["maths"]) for line in lines] == [3, 3, 3, 3]
    assert all(piece.startswith("<math") for line in lines for piece in line["maths"])


def test_one_sentence_says_why_the_exact_value_differs() -> None:
    why = answer(question())["working"]["why"]
    assert why.startswith("Ripple across the load, peak to peak: By hand is 12 % too high.")
    assert "discharge for the whole time" in why


@pytest.mark.parametrize(
    "name", ["half-wave", "centre-tap", "bridge", "bridge-choke", "bridge-regulator", "dual-rail",
             "full-wave-doubler", "half-wave-doubler"],
)  # fmt: skip
def test_every_circuit_has_its_picture_its_way_and_its_lines(name: str) -> None:
    found = answer(question(name))
    assert found["circuit"]["svg"].startswith("<svg")
    assert found["moments"][0][0] == 0
    named = {way for _, way in found["moments"]}
    assert named <= set(found["ways"])
    assert any(way["svg"] for way in found["ways"].values())
    assert 3 <= len(found["working"]["lines"]) <= 4
    assert found["readings"][f"{found['load']}.voltage.mean"]["name"]


def test_a_moved_slider_gives_what_a_sheet_with_that_value_gives() -> None:
    """Two roads: the key changed in the question, and the sheet written with that value."""
    moved = answer(question(changes={"load.resistance": "47 ohm"}, detail="moving"))
    text = question()["sheet"].replace('"100 ohm"', '"47 ohm"')
    study = solve(read_text(text))
    for name in ("load.voltage.mean", "load.voltage.ripple_peak_to_peak", "D1.current.peak"):
        assert moved["readings"][name]["value"] == pytest.approx(study.readings.value(name), rel=1e-9)
    words = base64.b64decode(moved["waves"]["words"])
    assert len(words) == 2 * moved["waves"]["count"] * len(moved["waves"]["waves"])


def test_while_a_slider_moves_drawing_and_known_ways_are_not_sent_again() -> None:
    first = answer(question())
    have = {"circuit": first["circuit"]["name"], "ways": list(first["ways"])}
    moved = answer(question(changes={"load.resistance": "90 ohm"}, detail="moving", have=have))
    assert moved["circuit"] == {"name": have["circuit"]}
    assert not set(moved["ways"]) & set(have["ways"])
    other = answer(question("half-wave", have=have))
    assert "svg" in other["circuit"]
    assert other["ways"]


def test_mains_fault_point_and_model_each_change_the_answer() -> None:
    def mean(**more: Any) -> float:
        return float(answer(question(**more))["readings"]["load.voltage.mean"]["value"])

    plain = mean()
    # A winding follows its mains: a tenth more at the outlet is a tenth more of EMF.
    assert answer(question(mains=1.1))["emf"]["secondary"] == pytest.approx(13.2)
    assert mean(mains=1.1) > plain + 1.5
    # One diode open makes a half-wave rectifier of a bridge: twice the time to discharge, a lower mean.
    assert mean(faults=["D1 open"]) < plain - 0.2
    # Without load the capacitor keeps the peak.
    assert mean(point="no_load") == pytest.approx(12 * math.sqrt(2) - 1.4, abs=1e-3)
    # Ideal diodes: no drops.
    assert mean(model="ideal") == pytest.approx(plain + 1.4, abs=0.05)


def test_by_hand_speaks_the_courses_letters_and_drop() -> None:
    mine = {"profile": "uk", "symbols": {"load_mean": "E_x"}, "diode_drop": "0.6 V", "decimal": ","}
    lines = answer(question(course=mine))["working"]["lines"]
    assert "E_x" in lines[-1]["plain"]
    assert lines[1]["plain"].endswith(f"= {12 * math.sqrt(2) - 1.2:.1f} V".replace(".", ","))


def test_all_readings_come_with_their_proof() -> None:
    found = readings(question())
    ripple = found["readings"]["load.voltage.ripple_peak_to_peak"]
    assert ripple["hand"][0]["shown"] == "0.708 V"
    assert set(found["proof"]) == {
        "power_balance", "charge_balance", "flux_balance", "periodicity", "kirchhoff", "diode_law",
    }  # fmt: skip
    assert found["conductionWords"]


def test_a_wrong_sheet_is_refused_with_line_key_and_remedy() -> None:
    text = question()["sheet"].replace("capacitor =", "capacitator =")
    with pytest.raises(Refused) as caught:
        guarded(sheet, {"sheet": text})
    fault = caught.value.faults[0]
    assert fault["line"] == text.split("\n").index('capacitator = "2200 uF"') + 1
    assert 'Did you mean "capacitor"' in fault["remedy"]


def test_a_field_that_cannot_be_read_comes_back_at_its_key() -> None:
    with pytest.raises(Refused) as caught:
        guarded(change, {"sheet": question()["sheet"], "set": {"filter.1.capacitor": "lots"}})
    (fault,) = caught.value.faults
    assert (fault["key"], fault["given"]) == ("filter.1.capacitor", "lots")
    assert fault["remedy"]


def test_a_changed_field_changes_the_text_and_the_form() -> None:
    found = change({"sheet": question()["sheet"], "set": {"filter.1.capacitor": "4k7 uF" if False else "4700"}})
    assert 'capacitor = "4700 uF"' in found["sheet"]
    assert {box["name"]: box["value"] for box in found["boxes"]}["capacitor"] == "4700"
    comma = change({"sheet": found["sheet"], "set": {"load.resistance": "4,7k"}, "decimal": ","})
    assert 'resistance = "4.7k"' in comma["sheet"]
    assert {box["name"]: box["value"] for box in comma["boxes"]}["load"] == "4700"


def test_a_supply_of_very_many_parts_is_sent_to_the_command_line() -> None:
    many = "".join(f'[[filter]]\nresistor = "1 ohm"\n[[filter]]\ncapacitor = "{k + 1} uF"\n' for k in range(90))
    with pytest.raises(Refused, match="parts"):
        guarded(sheet, {"sheet": question()["sheet"].replace('[[filter]]\ncapacitor = "2200 uF"\n', many)})


def test_a_circuit_without_an_answer_is_refused_in_words() -> None:
    text = question()["sheet"].replace('secondary_voltage = "12 V"', 'secondary_voltage = "12 V"').replace(
        "resistance = ", "power = "
    ).replace("100 ohm", "900 W")  # fmt: skip
    try:
        guarded(answer, {**question(), "sheet": text})
    except Refused as refused:
        assert refused.kind == "no answer"
        assert refused.sentence.endswith(".")


def test_my_course_comes_back_as_a_file_that_the_command_line_takes() -> None:
    from railwright.course import read_course_text

    found = course({"course": {"profile": "us", "digits": 4, "symbols": {"load_mean": "E_x"}}})
    read = read_course_text(found["file"])
    assert (read.words, read.digits, read.symbols["load_mean"]) == ("us", 4, "E_x")
    assert found["course"]["digits"] == 4
