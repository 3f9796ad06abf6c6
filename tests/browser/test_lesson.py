"""The lesson page in a real browser: sliders, keyboard, time, modes, accessibility, with the network off."""

from __future__ import annotations

import random
import re
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from browser.opened_pages import Open
from railwright.course import read_course
from railwright.documents.lesson import lesson_page
from railwright.documents.lesson.axes import at, axes_of
from railwright.documents.lesson.neighbours import neighbourhood, tolerance, trusted_cells
from railwright.quantities import read_quantity
from railwright.study import Study, solve

SEED = 7
#: A mean, a ripple, a peak current, an angle.
PROMISED = ("load.voltage.mean", "C1.voltage.ripple_peak_to_peak", "D1.current.peak", "D1.conduction.angle")
_UNITS = {"V": 1.0, "mV": 1e-3, "A": 1.0, "mA": 1e-3, "°": 1.0}


def number(text: str) -> float:
    """The value of a live reading, in SI."""
    match = re.fullmatch(r"(−?[\d.]+) ?(m?V|m?A|°)", text)
    assert match is not None, text
    return float(match[1].replace("−", "-")) * _UNITS[match[2]]


def text_of(page: Any, reading: str) -> str:
    return str(page.locator(f'[data-reading="{reading}"]').first.text_content())


def slider(page: Any, key: str) -> Any:
    return page.locator(f'input[data-key="{key}"]').last


def settle(page: Any) -> None:
    """Two frames: the look-up runs in the first, its answer is shown by the second."""
    page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 30))))")


def test_the_page_opens_at_the_sheets_own_values(open_page: Open, lamp: Study, lamp_lesson: Path) -> None:
    page = open_page(lamp_lesson).page
    for reading in ("load.voltage.mean", "load.voltage.ripple_peak_to_peak", "D1.current.peak", "D1.conduction.angle"):
        # Three figures are shown, so half a unit of the third is the rounding.
        assert number(text_of(page, reading)) == pytest.approx(lamp.readings.value(reading), rel=0.0051)
    assert "computed for 4700 µF, 24 Ω" in page.locator("[data-nearest]").first.text_content()


def test_a_slider_moves_by_keyboard_and_its_readings_agree_with_a_fresh_solve(
    open_page: Open, lamp: Study, lamp_lesson: Path
) -> None:
    page = open_page(lamp_lesson).page
    for key, steps in (("filter.1.capacitor", 27), ("load.resistance", 13)):
        moved = slider(page, key)
        moved.focus()
        for _ in range(steps):
            page.keyboard.press("ArrowLeft")
    settle(page)
    supply = lamp.supply
    for key, unit in (("filter.1.capacitor", "F"), ("load.resistance", "ohm")):
        words = slider(page, key).get_attribute("aria-valuetext")
        assert read_quantity(words, unit).value > 0.0
        supply = supply.replace(key, words)
    fresh = solve(supply)
    assert number(text_of(page, "load.voltage.mean")) == pytest.approx(
        fresh.readings.value("load.voltage.mean"), rel=0.005 + 0.005
    )
    for reading in ("load.voltage.ripple_peak_to_peak", "D1.current.peak"):
        assert number(text_of(page, reading)) == pytest.approx(fresh.readings.value(reading), rel=0.02 + 0.005)
    assert number(text_of(page, "D1.conduction.angle")) == pytest.approx(
        fresh.readings.value("D1.conduction.angle"), abs=0.5 + 0.05
    )
    said = page.locator("[data-nearest]").first.text_content()
    assert "snap to the nearest computed values: " in said


def test_the_look_up_agrees_with_fresh_solves_between_its_values(
    open_page: Open, lamp: Study, lamp_lesson: Path
) -> None:
    """Second road: the circuit solved anew, at places that the page has no value of."""
    page = open_page(lamp_lesson).page
    chance = random.Random(SEED)
    hood = neighbourhood(lamp)
    capacitance, load = axes_of(lamp.supply)
    for _ in range(12):
        row, column = chance.uniform(0.0, 8.0), chance.uniform(0.0, 8.0)
        params = {
            axis.key: axis.values[0] * (axis.values[-1] / axis.values[0]) ** (place / 8.0)
            for axis, place in ((capacitance, row), (load, column))
        }
        answer = page.evaluate("params => window.railwrightCompute(params)", params)
        fresh = solve(at(at(lamp.supply, capacitance, params[capacitance.key]), load, params[load.key]))
        for reading in PROMISED:
            if trusted_cells(reading, hood.tables[reading])[int(row), int(column)]:
                relative, absolute = tolerance(reading)
                assert answer["readings"][reading]["interpolated"]
                assert answer["readings"][reading]["value"] == pytest.approx(
                    fresh.readings.value(reading), rel=relative or 0.0, abs=absolute
                )


def test_twin_sliders_move_together_and_go_back(open_page: Open, lamp_lesson: Path) -> None:
    page = open_page(lamp_lesson).page
    twins = page.locator('input[data-key="load.resistance"]')
    assert twins.count() >= 2
    twins.first.focus()
    page.keyboard.press("Home")
    settle(page)
    assert {twins.nth(k).input_value() for k in range(twins.count())} == {"0"}
    assert twins.first.get_attribute("aria-valuetext") == "4.8 Ω"  # a fifth of 24 Ω
    page.locator("[data-reset]").click()
    settle(page)
    assert twins.first.get_attribute("aria-valuetext") == "24 Ω"


def test_the_moving_circuit_carries_the_values_that_it_was_computed_for(open_page: Open, lamp_lesson: Path) -> None:
    page = open_page(lamp_lesson).page
    label = page.locator('.picture.moving .label[data-ref="C1"] text').last
    assert label.text_content() == "4700 µF"
    moved = slider(page, "filter.1.capacitor")
    moved.focus()
    page.keyboard.press("Home")
    settle(page)
    assert label.text_content() == "940 µF"  # a fifth of 4700 µF
    page.locator("[data-reset]").click()
    settle(page)
    assert label.text_content() == "4700 µF"


def test_time_moves_ribbon_cursor_caption_and_values_together(
    open_page: Open, lamp: Study, lamp_lesson: Path
) -> None:
    """A bridge: with a positive D1 and D4 conduct, with b positive D2 and D3 (every textbook's first picture)."""
    page = open_page(lamp_lesson).page
    time = page.locator("[data-time]")
    seen = []
    for degrees, leaves, on, off in ((85, "leaves a", "D1.current", "D2"), (265, "leaves b", "D2.current", "D1")):
        time.fill(str(degrees))
        assert time.get_attribute("aria-valuetext").startswith(f"{degrees}°")
        assert leaves in page.locator("[data-caption]").text_content()
        assert page.locator(f'.moment.now .blocking[data-ref="{off}"]').count() == 1
        shown = number(page.locator(f'[data-now="{on}"]').text_content())
        assert shown == pytest.approx(lamp.currents_at(degrees)[on.partition(".")[0]], rel=0.01)
        across = page.locator("#plot-board .cursor").get_attribute("x1")
        seen.append((page.locator(".moment.now").first.get_attribute("data-moment"), float(across)))
    assert seen[0][0] != seen[1][0]
    assert seen[0][1] < seen[1][1]
    time.focus()
    page.keyboard.press("ArrowRight")
    assert time.get_attribute("aria-valuetext").startswith("266°")


def test_time_plays_and_pauses(open_page: Open, lamp_lesson: Path) -> None:
    page = open_page(lamp_lesson).page
    page.locator("[data-speed]").select_option("5")
    before = page.locator("[data-time]").input_value()
    page.locator("[data-play]").click()
    page.wait_for_function(f"document.querySelector('[data-time]').value !== '{before}'")
    assert page.locator("[data-play]").text_content() == "Pause"
    page.locator("[data-play]").click()
    rests = page.locator("[data-time]").input_value()
    page.wait_for_timeout(200)
    assert page.locator("[data-time]").input_value() == rests


def test_with_reduced_motion_time_goes_in_steps(open_page: Open, lamp_lesson: Path) -> None:
    page = open_page(lamp_lesson, reduced_motion="reduce").page
    page.locator("[data-speed]").select_option("5")
    before = page.locator("[data-time]").input_value()
    page.locator("[data-play]").click()
    page.wait_for_timeout(400)
    assert page.locator("[data-time]").input_value() == before  # nothing glides
    page.wait_for_function(f"document.querySelector('[data-time]').value !== '{before}'", timeout=5000)


def test_the_projector_shows_one_stage_at_a_time(open_page: Open, lamp_lesson: Path) -> None:
    page = open_page(lamp_lesson).page
    page.locator("[data-projector]").click()
    shown = page.locator("main > section:visible")
    assert shown.count() == 1
    assert page.locator("[data-projector]").get_attribute("aria-pressed") == "true"
    first = shown.first.get_attribute("id")
    page.keyboard.press("PageDown")
    assert page.locator("main > section:visible").first.get_attribute("id") != first
    page.locator("[data-back]").click()
    assert page.locator("main > section:visible").first.get_attribute("id") == first
    page.keyboard.press("Escape")
    assert page.locator("main > section:visible").count() == 11


@pytest.mark.parametrize("width", [360, 1920])
def test_nothing_makes_the_page_scroll_sideways(open_page: Open, lamp_lesson: Path, width: int) -> None:
    page = open_page(lamp_lesson, width=width, height=800).page
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.locator("[data-open-all]").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize(
    ("width", "scheme", "is_projector"),
    [(1280, "light", False), (360, "dark", False), (1920, "light", True), (1280, "dark", True)],
)
def test_no_rule_of_wcag_is_broken(
    open_page: Open, lamp_lesson: Path, width: int, scheme: str, is_projector: bool
) -> None:
    """Source: the rules of axe-core (Deque Systems, MPL-2.0) for WCAG 2.2 AA and its best practices."""
    page = open_page(lamp_lesson, width=width, height=800, color_scheme=scheme).page
    page.locator("[data-open-all]").click()
    if is_projector:
        page.locator("[data-projector]").click()
    page.add_script_tag(content=(files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    found = page.evaluate(
        "async () => (await axe.run()).violations.map(one => [one.id, one.nodes.map(node => node.html.slice(0, 200))])"
    )
    assert found == []


def test_a_sheets_text_stays_text_in_the_browser(open_page: Open, tmp_path: Path, lamp: Study) -> None:
    from dataclasses import replace

    from railwright.study import read_text

    sheet = (
        "title = '<b id=\"planted\">x</b></script><script>document.title=\"planted\"</script>'\n"
        "[mains]\nvoltage = '9 V'\nfrequency = '50 Hz'\nsource = 'adapter'\n"
        "[rectifier]\ncircuit = 'half-wave'\n[load]\nresistance = '100 ohm'\n"
    )
    supply = replace(read_text(sheet), note="<img src=x>")
    path = tmp_path / "planted.html"
    path.write_text(lesson_page(solve(supply), read_course("us")), encoding="utf-8")
    page = open_page(path).page
    assert page.locator("#planted").count() == 0
    assert page.locator("img").count() == 0
    assert page.title().startswith("<b id=")


def test_without_script_the_page_still_teaches(browser: Any, lamp_lesson: Path) -> None:
    context = browser.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(lamp_lesson.as_uri())
    assert page.locator(".moment.now").count() == 2  # under and over the circuit
    assert "leaves a" in page.locator("[data-caption]").text_content()
    assert not page.locator(".slider").first.is_visible()
    context.close()


def test_on_paper_sliders_and_buttons_are_left_out(open_page: Open, lamp_lesson: Path) -> None:
    page = open_page(lamp_lesson).page
    page.emulate_media(media="print")
    for left_out in ("nav", ".tools", ".time-bar", ".slider input"):
        assert not page.locator(left_out).first.is_visible()
    assert page.locator(".on-paper svg").first.is_visible()
    sheets = len(re.findall(rb"/Type\s*/Page\b(?!s)", page.pdf(prefer_css_page_size=True)))
    assert 4 <= sheets <= 12
