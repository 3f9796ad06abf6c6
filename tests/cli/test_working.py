"""`railwright work`: on the screen, as pages, as JSON; in the words of a course; refused in a sentence."""

from __future__ import annotations

import json

import pytest

COURSE = 'kind = "course"\nwords = "us"\ndiode_drop = "0.6 V"\nsymbols = { load_peak = "E_max" }\n'


def test_the_working_is_printed_with_its_lines_and_the_check(run, filtered):
    """9 V RMS: 12.7 V peak, less two drops of 0.7 V 11.3 V (paper)."""
    answer = run("work", filtered)
    assert answer.code == 0 and answer.err == ""
    assert "V_0 = √2 V_r.m.s.\n         = √2 × 9 V\n         = 12.7 V" in answer.out
    assert "= 11.3 V" in answer.out
    assert "Exact:" in answer.out and "Why:" in answer.out


def test_only_what_is_asked_for_and_what_it_needs_is_printed(run, filtered):
    answer = run("work", filtered, "load.voltage.peak")
    assert "2. Peak voltage across the load" in answer.out
    assert "Ripple" not in answer.out


def test_json_is_one_object_of_the_same_steps(run, filtered):
    answer = run("work", filtered, "load.voltage.peak", "--json")
    data = json.loads(answer.out)
    (section,) = [section for section in data["sections"] if section["asked"]]
    assert section["readings"] == ["load.voltage.peak"]
    assert section["hand"][0]["rounded"] == 11.3
    assert data["course"].startswith("UK")


PAGES = [("md", "# Tide gauge"), ("tex", r"\documentclass"), ("html", "<!DOCTYPE html>")]


@pytest.mark.parametrize(("ending", "start"), PAGES)
def test_a_page_is_written_by_the_file_s_ending(run, filtered, tmp_path, ending, start):
    answer = run("work", filtered, "-o", f"page.{ending}")
    assert answer.code == 0 and f"page.{ending}:" in answer.out
    assert (tmp_path / f"page.{ending}").read_text("utf-8").startswith(start)


def test_a_course_of_one_s_own_brings_letters_words_and_drop(run, filtered, tmp_path):
    """12.73 V - 2 x 0.6 V = 11.5 V."""
    (tmp_path / "mine.toml").write_text(COURSE, "utf-8")
    answer = run("work", filtered, "load.voltage.peak", "--course", "mine.toml")
    assert "E_max = V_m − k V_D" in answer.out
    assert "= 11.5 V" in answer.out
    assert "frequency of the mains" not in answer.out


def test_a_page_can_not_be_written_as_anything_else(run, filtered):
    answer = run("work", filtered, "-o", "page.docx")
    assert answer.code == 2
    assert "a working is written as .md, .tex, .html. Name a file that ends in one of them." in answer.err


def test_a_wrong_course_tells_all_its_faults_and_ends_with_2(run, filtered, tmp_path):
    (tmp_path / "mine.toml").write_text('kind = "course"\nwords = "uk"\ndigits = 0\npaper = "A5"\n', "utf-8")
    answer = run("work", filtered, "--course", "mine.toml")
    assert answer.code == 2 and answer.out == ""
    assert [line.split(":")[0] for line in answer.err.strip().splitlines()] == [
        "mine.toml, line 3, digits",
        "mine.toml, line 4, paper",
    ]


def test_a_course_that_is_not_there_says_which_ship(run, filtered):
    answer = run("work", filtered, "--course", "de")
    assert answer.code == 2
    assert "Name a course file, or a profile that ships: uk, us." in answer.err


def test_a_reading_that_nobody_has_ends_with_2(run, filtered):
    answer = run("work", filtered, "load.voltage.average")
    assert answer.code == 2
    assert "load.voltage.mean" in answer.err


def test_settings_faults_and_models_are_taken_as_by_every_command(run, filtered):
    """An ideal diode drops nothing: 12.7 V."""
    answer = run("work", filtered, "load.voltage.peak", "--model", "ideal", "--set", "load.resistance=100 ohm")
    assert "V_pk = V_0 − n_D V_F" in answer.out
    assert "= 12.73 V − 2 × 0 V" in answer.out
    broken = run("work", filtered, "load.voltage.mean", "--fault", "D2 open")
    assert "The circuit is faulty" in broken.out
