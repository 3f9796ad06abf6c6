"""The app in a real browser, task by task: from the first circuit to the printed hand-out, and everything kept."""

from __future__ import annotations

import math
import re
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from web.served import Served, serving

pytest.importorskip("starlette", reason="starlette isn't installed (extra: web)")
pytest.importorskip("schemdraw", reason="schemdraw isn't installed (extra: draw)")

VIEWS = ("start", "circuit", "sheet", "readings", "make")


@dataclass
class Used:
    """A page of the app, what it asked for, and what went wrong in it."""

    page: Any
    requests: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    waiting: int = 0  # requests on their way

    def begin(self, circuit: str) -> None:
        """Choose a circuit and wait for its working."""
        self.page.click('[data-views] a[href="#start"]')
        self.page.click(f'[data-circuit="{circuit}"]')
        self.page.wait_for_selector("#view-circuit .lines-by-hand li")
        self.page.wait_for_selector("#view-circuit .moment.now")
        self.rest()

    def rest(self) -> None:
        """Until nothing is asked any more."""
        quiet = 0
        while quiet < 8:
            self.page.wait_for_timeout(50)
            quiet = 0 if self.waiting else quiet + 1

    def go(self, view: str) -> None:
        """Go to a view by its link."""
        self.page.click(f'[data-views] a[href="#{view}"]')
        self.page.wait_for_selector(f"#view-{view}.shown")
        self.rest()

    def reading(self, name: str) -> str:
        """A live value as it is shown."""
        return str(self.page.locator(f'#view-circuit [data-reading="{name}"]').first.text_content())

    def open_all(self) -> None:
        """Open every depth of the view that is shown."""
        self.page.evaluate("for (const part of document.querySelectorAll('section.shown details')) part.open = true")
        self.rest()


Use = Callable[..., Used]


def press_slowly(app: Used, button: Any) -> None:
    """Press a button as a hand does: what the press itself sets off is answered before the release."""
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    app.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    app.page.mouse.down()
    app.rest()
    app.page.mouse.up()


def until(page: Any, expression: str, seconds: float = 30.0) -> None:
    """Wait until an expression is true in the page: asked from outside, because the page's policy allows no eval."""
    end = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < end, f"never true: {expression}"
        page.wait_for_timeout(50)


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The app as a program of its own."""
    with serving(tmp_path_factory.mktemp("app")) as found:
        yield found


@pytest.fixture
def use(browser: Any, served: Served) -> Iterator[Use]:
    """Open the app as a teacher would; the test fails if the page had a fault or asked anybody else."""
    contexts: list[Any] = []
    used: list[Used] = []

    def started(one: Used, more: int) -> None:
        one.waiting += more

    def opened(width: int = 1280, height: int = 800, address: str = "", **options: Any) -> Used:
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        one = Used(page=context.new_page())
        one.page.on("request", lambda request: one.requests.append(request.url))
        one.page.on("request", lambda request: started(one, 1))
        one.page.on("requestfinished", lambda request: started(one, -1))
        one.page.on("requestfailed", lambda request: started(one, -1))
        one.page.on("pageerror", lambda error: one.faults.append(str(error)))
        one.page.on("console", lambda said: one.faults.append(said.text) if said.type == "error" else None)
        one.page.goto(address or served.address)
        one.page.evaluate("window.railwrightReady")
        used.append(one)
        return one

    yield opened
    for one in used:
        outside = [
            url
            for url in one.requests
            if not url.startswith((served.home, "data:", "blob:", "chrome-extension:", "chrome:"))
        ]
        assert outside == [], "the page asked somebody else"
        # (Chromium's own viewer of PDF asks for its parts.)
        # A refused question is the browser's own line on its console, and no fault of the page.
        assert [fault for fault in one.faults if "status of 4" not in fault] == []
    for context in contexts:
        context.close()


# ---------------------------------------------------------------- the first five minutes


def test_from_the_start_to_a_printed_lesson_in_six_actions(use: Use) -> None:
    """A circuit, three values, print: five; the course is the sixth, and remembered."""
    pytest.importorskip("typst", reason="typst isn't installed (extra: pdf)")
    pytest.importorskip("docx", reason="python-docx isn't installed (extra: docx)")
    app = use()
    page = app.page
    # A browser without a screen has no print window, and asking it for one now and then ends the whole page.
    page.evaluate("""Object.defineProperty(HTMLIFrameElement.prototype, "contentWindow", {
        get() { return { focus() {}, print() { document.documentElement.dataset.asked = "yes"; } }; } })""")
    assert page.locator("[data-circuit]").count() == 8
    page.click('[data-circuit="bridge"]')  # 1
    page.wait_for_selector("#box-winding")
    page.fill("#box-winding", "12")  # 2
    page.fill("#box-capacitor", "2200 µF")  # 3
    page.fill("#box-load", "100")  # 4
    page.keyboard.press("Tab")
    app.rest()
    page.click("[data-print]")  # 5
    page.wait_for_selector(".printing .files a", timeout=90_000)
    names = page.locator(".printing .files a").all_text_contents()
    assert names == ["bridge-student.pdf", "bridge-teacher.pdf", "bridge-student.docx", "bridge-teacher.docx"]
    until(page, "document.documentElement.dataset.asked")
    printed = page.evaluate("document.documentElement.dataset.printed")
    content = page.request.get(
        printed.partition("?")[0]
        if printed.startswith("http")
        else f"{page.url.partition('#')[0].rstrip('/')}{printed}"
    ).body()
    assert content.startswith(b"%PDF-")


def test_the_picture_draws_itself_and_four_lines_agree_with_the_calculator(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    peak = 12 * math.sqrt(2)
    after = peak - 1.4
    ripple = after / 100 / (100 * 2200e-6)
    lines = page.locator("#view-circuit .lines-by-hand [data-plain]")
    assert lines.count() == 4
    for line, value in zip(
        range(4), (f"{peak:.1f} V", f"{after:.1f} V", f"{ripple:.3f} V", f"{after - ripple / 2:.1f} V"), strict=True
    ):
        assert lines.nth(line).get_attribute("data-plain").endswith(f"= {value}")
        assert lines.nth(line).locator("math").count() == 3
    assert "By hand is" in page.locator("#view-circuit .why").text_content()
    assert page.locator("#view-circuit .moment.now").count() >= 1
    # A bridge with a positive: D1 and D4 conduct, D2 and D3 block (every textbook's first picture).
    caption = page.locator("[data-caption]").text_content()
    assert "D1" in caption
    assert "D2 blocks" in caption
    assert app.reading("load.voltage.mean") == "15.3 V"


@pytest.mark.parametrize("circuit", ["half-wave", "centre-tap", "bridge-choke", "bridge-regulator", "dual-rail",
                                     "full-wave-doubler", "half-wave-doubler"])  # fmt: skip
def test_each_of_the_eight_has_its_picture_and_its_number(use: Use, circuit: str) -> None:
    app = use()
    app.begin(circuit)
    assert app.page.locator("#view-circuit .picture svg").count() == 1
    assert re.fullmatch(r"[\d.]+ V", app.page.locator("#view-circuit .big").text_content())
    assert app.page.locator("#view-circuit .lines-by-hand li").count() >= 3


def test_the_load_slider_moves_everything_by_keyboard_and_becomes_part_of_the_sheet(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    slider = page.locator('input[data-key="load.resistance"]')
    assert slider.get_attribute("aria-valuetext") == "100 Ω"
    before = page.locator("#view-circuit .lines-by-hand").text_content()
    slider.focus()
    for _ in range(40):
        page.keyboard.press("ArrowLeft")
    app.rest()
    words = slider.get_attribute("aria-valuetext")
    assert words.endswith(" Ω")
    assert float(words.removesuffix(" Ω")) < 60
    assert page.locator("#view-circuit .lines-by-hand").text_content() != before
    assert page.locator("#box-load").input_value() == words.removesuffix(" Ω")
    assert page.locator('.label[data-ref="load"] text').last.text_content().replace(" ", "") == words.replace(" ", "")
    # A smaller resistance takes more current, so the mean falls and the ripple grows.
    assert float(app.reading("load.voltage.mean").removesuffix(" V")) < 15.2
    app.go("sheet")
    assert f'resistance = "{words.removesuffix(" Ω")} ohm"' in page.locator("#sheet-text").input_value()


def test_while_dragging_the_numbers_follow_before_the_finger_lifts(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    slider = page.locator('input[data-key="load.resistance"]')
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] * 0.1, box["y"] + box["height"] / 2, steps=12)
    until(page, "document.querySelector('#view-circuit .big').textContent !== '15.3 V'")
    page.mouse.up()
    app.rest()
    assert float(page.locator("#box-load").input_value()) < 35


def test_my_course_speaks_its_letters_drop_symbols_and_decimal_sign(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    page.click("[data-course] > summary")
    page.locator("#course-drop").fill("0.6")
    page.keyboard.press("Tab")
    app.rest()
    lines = page.locator("#view-circuit .lines-by-hand [data-plain]")
    assert lines.nth(1).get_attribute("data-plain").endswith(f"{12 * math.sqrt(2) - 1.2:.1f} V")
    page.locator("#course-decimal").select_option(",")
    app.rest()
    assert app.reading("load.voltage.mean") == "15,3 V"
    page.get_by_text("Letters of my book").click()
    page.locator("#letter-load_mean").fill("E_x")
    page.keyboard.press("Tab")
    app.rest()
    assert "E_x" in lines.nth(3).get_attribute("data-plain")
    page.locator("#box-capacitor").fill("4,7 mF")
    page.keyboard.press("Enter")
    app.rest()
    assert page.locator("#box-capacitor").input_value() == "4700"
    page.reload()
    page.wait_for_selector("#view-circuit .lines-by-hand li")
    app.rest()
    assert app.reading("load.voltage.mean").replace(",", ".").startswith("15.")
    assert "," in app.reading("load.voltage.mean")


def test_a_letter_that_is_none_is_refused_beside_the_field(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    page.click("[data-course] > summary")
    page.get_by_text("Letters of my book").click()
    page.locator("#letter-load_mean").fill("V}{")
    page.keyboard.press("Tab")
    until(page, "document.querySelector('[data-course] .fault').textContent.length > 10")


# ---------------------------------------------------------------- boxes, units, errors


@pytest.mark.parametrize(("typed", "shown"), [("1000", "1000"), ("1000 µF", "1000"), ("1 mF", "1000"), ("4m7", "4700")])
def test_a_box_reads_what_is_printed_on_the_part(use: Use, typed: str, shown: str) -> None:
    app = use()
    app.begin("bridge")
    app.page.fill("#box-capacitor", typed)
    app.page.keyboard.press("Enter")
    app.rest()
    assert app.page.locator("#box-capacitor").input_value() == shown


def test_an_invalid_entry_stays_with_its_error_and_remedy_and_survives_a_reload(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    page.fill("#box-load", "a lot")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('#box-load-fault').textContent.includes('Write')")
    assert page.locator("#box-load").get_attribute("aria-invalid") == "true"
    assert app.reading("load.voltage.mean") == "15.3 V"  # the last right version still stands
    page.reload()
    page.wait_for_selector("#view-circuit .lines-by-hand li")
    until(page, "document.querySelector('#box-load-fault').textContent.includes('Write')")
    assert page.locator("#box-load").input_value() == "a lot"
    page.fill("#box-load", "4k7")
    page.keyboard.press("Enter")
    app.rest()
    assert page.locator("#box-load").input_value() == "4700"
    assert page.locator("#box-load-fault").text_content() == ""


def test_without_a_capacitor_the_box_is_left_empty(use: Use) -> None:
    """Unfiltered bridge, mean of a rectified sine less drops: below 2/π of the peak after the drops."""
    app = use()
    app.begin("bridge")
    app.page.fill("#box-capacitor", "")
    app.page.keyboard.press("Enter")
    app.rest()
    until(app.page, "parseFloat(document.querySelector('#view-circuit .big').textContent) < 10")
    mean = float(app.reading("load.voltage.mean").removesuffix(" V"))
    assert mean == pytest.approx(2 / math.pi * (12 * math.sqrt(2) - 1.4), rel=0.06)


def test_the_load_may_be_a_current(use: Use) -> None:
    app = use()
    app.begin("bridge")
    app.page.fill("#box-load", "0.2")
    app.page.locator("[data-load-unit]").select_option("current")
    app.rest()
    app.page.wait_for_selector('input[data-key="load.current"]')
    assert app.page.locator('input[data-key="load.current"]').get_attribute("aria-valuetext") == "200 mA"


# ---------------------------------------------------------------- depth: model, fault, mains, time, pin


def test_model_fault_mains_and_point_each_move_the_numbers(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    app.open_all()
    mean = "#view-circuit .big"
    page.locator("[data-model]").select_option("ideal")
    until(page, "parseFloat(document.querySelector('#view-circuit .big').textContent) > 16.3")
    page.locator("[data-model]").select_option("textbook")
    page.locator("[data-fault]").select_option("D1 open")
    # One diode open: half-wave, a lower mean.
    until(page, "parseFloat(document.querySelector('#view-circuit .big').textContent) < 15.05")
    assert "No book has a formula" in page.locator("#view-circuit .lines-by-hand").text_content()
    page.locator("[data-fault]").select_option("")
    until(page, "document.querySelector('#view-circuit .big').textContent === '15.3 V'")
    mains = page.locator('input[data-key="mains.voltage"]')
    mains.focus()
    page.keyboard.press("End")
    until(page, "parseFloat(document.querySelector('#view-circuit .big').textContent) > 18")
    assert mains.get_attribute("aria-valuetext").endswith(" V")
    app.rest()
    page.locator("[data-reset]").click()
    until(page, "document.querySelector('#view-circuit .big').textContent === '15.3 V'")
    page.locator("[data-point]").select_option("no_load")
    until(page, "document.querySelector('#view-circuit .big').textContent === '15.6 V'")
    assert page.locator(mean).count() == 1


def test_time_moves_ribbon_cursor_caption_and_values(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    app.open_all()
    time = page.locator("[data-time]")
    seen = []
    for degrees, leaves, off in ((85, "leaves a", "D2"), (265, "leaves b", "D1")):
        time.fill(str(degrees))
        assert time.get_attribute("aria-valuetext").startswith(f"{degrees}°")
        assert leaves in page.locator("[data-caption]").text_content()
        assert page.locator(f'.moment.now .blocking[data-ref="{off}"]').count() == 1
        seen.append(float(page.locator("#plot-board .cursor").get_attribute("x1")))
    assert seen[0] < seen[1]
    page.locator("[data-play]").click()
    assert page.locator("[data-play]").text_content() == "Pause"
    page.locator("[data-play]").click()


def test_one_version_is_pinned_and_compared(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    page.click("[data-pin]")
    app.open_all()
    page.fill("#box-capacitor", "470")
    page.keyboard.press("Enter")
    app.rest()
    page.wait_for_selector("#plot-board .curve.pinned", state="attached")
    row = page.locator('tr:has([data-pinned="load.voltage.ripple_peak_to_peak"])')
    assert row.locator("[data-pinned]").text_content() == "0.631 V"
    assert row.locator("[data-change]").text_content().startswith("+")
    assert "2200 µF" in page.locator("[data-pin] + .hint").text_content()
    page.reload()
    page.wait_for_selector("[data-pinned]", state="attached")
    page.click("[data-pin]")
    until(page, "!document.querySelector('[data-pinned]')")


# ---------------------------------------------------------------- the sheet


def test_form_and_text_say_the_same_both_ways(use: Use) -> None:
    app = use()
    app.begin("bridge")
    app.go("sheet")
    page = app.page
    page.locator('[data-field="filter.1.capacitor"]').fill("4700")
    page.keyboard.press("Tab")
    app.rest()
    text = page.locator("#sheet-text").input_value()
    assert 'capacitor = "4700 uF"' in text
    assert "# sealed, safety isolating" in text
    page.locator("#sheet-text").fill(text.replace('"100 ohm"', '"220 ohm"'))
    app.rest()
    until(page, "document.querySelector('[data-field=\"load.resistance\"]').value === '220'")
    app.go("circuit")
    assert page.locator("#box-load").input_value() == "220"


def test_a_wrong_text_is_kept_with_its_lines_and_remedies(use: Use) -> None:
    app = use()
    app.begin("bridge")
    app.go("sheet")
    page = app.page
    right = page.locator("#sheet-text").input_value()
    page.locator("#sheet-text").fill(right.replace("capacitor", "capacitator"))
    page.wait_for_selector("#text-faults li")
    assert 'Did you mean "capacitor"' in page.locator("#text-faults").text_content()
    to_line = page.locator("#text-faults button").first
    to_line.click()
    assert page.evaluate("document.activeElement.id") == "sheet-text"
    press_slowly(app, to_line)
    assert page.evaluate("document.activeElement.id") == "sheet-text"
    page.reload()
    page.wait_for_selector("#text-faults li")
    assert "capacitator" in page.locator("#sheet-text").input_value()
    page.locator("#sheet-text").fill(right)
    until(page, "!document.querySelector('#text-faults li')")


def test_a_field_left_by_a_slow_press_keeps_both(use: Use) -> None:
    app = use()
    app.begin("bridge")
    app.go("sheet")
    page = app.page
    page.locator("[data-add-table]").select_option("fuse")
    page.wait_for_selector('[data-table="fuse"]')
    app.rest()
    page.locator('[data-field="load.resistance"]').fill("220")
    take_out = page.locator('[data-table="fuse"] > p button')
    press_slowly(app, take_out)
    until(page, "!document.querySelector('[data-table=\"fuse\"]')")
    app.rest()
    text = page.locator("#sheet-text").input_value()
    assert 'resistance = "220 ohm"' in text
    assert "[fuse]" not in text


def test_keys_and_tables_are_put_in_and_taken_out(use: Use) -> None:
    app = use()
    app.begin("bridge")
    app.go("sheet")
    page = app.page
    page.locator("[data-add-table]").select_option("fuse")
    page.wait_for_selector('[data-table="fuse"]')
    page.locator('[data-table="transformer"] .adding select').select_option("transformer.regulation")
    page.locator('[data-field="transformer.regulation"]').fill("12")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    app.rest()
    assert 'regulation = "12 %"' in page.locator("#sheet-text").input_value()
    page.locator('[data-table="fuse"] > p button').click()
    until(page, "!document.querySelector('[data-table=\"fuse\"]')")
    page.locator('[data-field="load.resistance"]').fill("nothing")
    page.keyboard.press("Tab")
    until(page, "document.querySelector('[data-table=load] .fault').textContent.length > 10")


def test_undo_and_redo_go_through_every_change(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    for value in ("13", "14"):
        page.fill("#box-winding", value)
        page.keyboard.press("Enter")
        app.rest()
    page.click("[data-undo]")
    app.rest()
    assert page.locator("#box-winding").input_value() == "13"
    page.keyboard.press("Control+z")
    app.rest()
    assert page.locator("#box-winding").input_value() == "12"
    page.click("[data-redo]")
    app.rest()
    assert page.locator("#box-winding").input_value() == "13"


def test_a_sheet_is_saved_and_opened_again(use: Use, tmp_path: Path) -> None:
    app = use()
    app.begin("bridge")
    app.go("sheet")
    page = app.page
    with page.expect_download() as waiting:
        page.click("[data-save]")
    path = tmp_path / waiting.value.suggested_filename
    waiting.value.save_as(path)
    assert path.name == "bridge.toml"
    text = path.read_text(encoding="utf-8")
    assert text == page.locator("#sheet-text").input_value()
    path.write_text(text.replace('"Bridge"', '"Signal lamp two"'), encoding="utf-8")
    app.go("start")
    page.locator("#open-sheet").set_input_files(path)
    until(page, "document.querySelector('#view-circuit-title').textContent === 'Signal lamp two'")
    wrong = tmp_path / "wrong.toml"
    wrong.write_text("title = [", encoding="utf-8")
    app.go("start")
    page.locator("#open-sheet").set_input_files(wrong)
    page.wait_for_selector("#text-faults li")


def test_a_supply_of_the_harbour_opens(use: Use) -> None:
    app = use()
    until(app.page, "document.querySelector('#example').options.length > 5")
    app.page.locator("#example").select_option("signal-lamp")
    app.page.wait_for_selector("#view-circuit .lines-by-hand li")
    app.rest()
    assert "Signal lamp" in app.page.locator("h1:visible").text_content()
    assert app.page.locator('input[data-key="filter.1.capacitor"]').count() == 1


def test_a_networks_own_sheet_opens_without_boxes(use: Use) -> None:
    app = use()
    until(app.page, "document.querySelector('#example').options.length > 5")
    app.page.locator("#example").select_option("moth-counter-clamper")
    app.page.wait_for_selector("#view-circuit .picture svg")
    app.rest()
    assert app.page.locator("#box-winding").is_disabled()


# ---------------------------------------------------------------- readings, making


def test_all_readings_stand_in_their_columns_with_the_proof(use: Use) -> None:
    app = use()
    app.begin("bridge")
    app.go("readings")
    page = app.page
    page.wait_for_selector('#view-readings [data-reading="load.voltage.mean"]')
    row = page.locator('#view-readings tr:has([data-reading="load.voltage.ripple_peak_to_peak"])')
    cells = row.locator("td").all_text_contents()
    assert cells[:3] == ["0.708 V", "0.631 V", "+12 %"]
    page.fill("#reading-search", "ripple_factor")
    assert page.locator('#view-readings [data-reading="load.voltage.mean"]').is_hidden()
    app.open_all()
    assert page.locator("[data-proof]").count() == 6


@pytest.mark.parametrize(
    ("product", "name", "begins"),
    [
        ("lesson", "bridge-lesson.html", b"<!DOCTYPE html>"), ("working", "bridge-working.html", b"<!DOCTYPE html>"),
        ("figure", "bridge-figure.svg", b"<"), ("waveforms", "bridge-waveforms.csv", b"time (s)"),
        ("table", "bridge-table.csv", b"load.resistance (ohm),load.voltage.mean (V)"),
    ],
)  # fmt: skip
def test_each_product_is_made_and_saved(use: Use, product: str, name: str, begins: bytes) -> None:
    app = use()
    app.begin("bridge")
    app.go("make")
    page = app.page
    page.click(f'[data-make="{product}"]')
    page.wait_for_selector(f'[data-job="{product}"][data-state="done"]', timeout=90_000)
    with page.expect_download() as waiting:
        page.locator(f'[data-job="{product}"] a[download="{name}"]').first.click()
    assert Path(waiting.value.path()).read_bytes().startswith(begins)


def test_long_work_is_ended_when_the_teacher_says_so(use: Use) -> None:
    app = use()
    app.begin("bridge")
    app.go("make")
    page = app.page
    page.click('[data-make="lesson"]')
    job = page.locator('[data-job="lesson"]').first
    page.wait_for_selector('[data-job="lesson"] progress')
    job.locator("button").click()
    until(page, "document.querySelector('[data-job=\"lesson\"]').dataset.state === 'ended'", 20.0)


# ---------------------------------------------------------------- nothing is lost


def test_a_reload_loses_nothing(use: Use) -> None:
    app = use()
    app.begin("half-wave")
    page = app.page
    page.fill("#box-winding", "9")
    page.keyboard.press("Enter")
    app.rest()
    page.reload()
    page.wait_for_selector("#view-circuit .lines-by-hand li")
    app.rest()
    assert page.locator("#box-winding").input_value() == "9"
    page.click("[data-undo]")
    app.rest()
    assert page.locator("#box-winding").input_value() == "12"


def test_a_crashed_program_loses_nothing_and_the_page_goes_on_by_itself(browser: Any, tmp_path: Path) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    page = context.new_page()
    with serving(tmp_path) as first:
        page.goto(first.address)
        page.click('[data-circuit="bridge"]')
        page.wait_for_selector("#view-circuit .lines-by-hand li")
        port = first.port
        page.wait_for_timeout(500)
        first.process.kill()
        first.process.wait()
    page.fill("#box-winding", "15")
    page.keyboard.press("Enter")
    until(page, "document.querySelector('[data-trouble]').textContent.includes('kept in this browser')")
    with serving(tmp_path, port) as second:
        until(page, "document.querySelector('[data-trouble]').textContent.includes('Open the address')", 15.0)
        other = context.new_page()
        other.goto(second.address)
        until(page, "document.querySelector('[data-trouble]').textContent === ''", 15.0)
        until(page, "parseFloat(document.querySelector('#view-circuit .big').textContent) > 19", 15.0)
        assert page.locator("#box-winding").input_value() == "15"
    context.close()


# ---------------------------------------------------------------- for everybody


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (360, "dark")])
def test_no_rule_of_wcag_is_broken_on_any_view(use: Use, view: str, width: int, scheme: str) -> None:
    """Source: the rules of axe-core (Deque Systems, MPL-2.0) for WCAG 2.2 AA and its best practices."""
    app = use(width=width, color_scheme=scheme)
    app.begin("bridge")
    app.page.click("[data-pin]")
    app.go(view)
    app.open_all()
    if view == "circuit":
        app.page.fill("#box-load", "?")
        app.page.keyboard.press("Enter")
        app.rest()
    app.page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    found = app.page.evaluate(
        "async () => (await axe.run()).violations.map(one => [one.id, one.nodes.map(node => node.html.slice(0, 160))])"
    )
    assert found == []


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("width", [360, 1920])
def test_no_view_scrolls_sideways(use: Use, view: str, width: int) -> None:
    app = use(width=width)
    app.begin("bridge-regulator")
    app.go(view)
    app.open_all()
    assert app.page.evaluate("document.documentElement.scrollWidth") <= width


def test_everything_of_the_first_look_is_reached_by_keyboard(use: Use) -> None:
    app = use()
    page = app.page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.dataset.circuit") == "bridge":
            break
    page.keyboard.press("Enter")
    page.wait_for_selector("#view-circuit .lines-by-hand li")
    app.rest()
    reached = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(
                "(e => e.id || e.dataset.print !== undefined && 'print' || e.tagName)(document.activeElement)"
            )
        )
    assert {"box-winding", "box-capacitor", "box-load", "slider-load-resistance", "print", "SUMMARY"} <= reached


def test_the_projector_shows_picture_and_number_alone(use: Use) -> None:
    app = use()
    app.begin("bridge")
    page = app.page
    page.click("[data-projector]")
    assert page.locator("#box-winding").is_hidden()
    assert page.locator("#view-circuit .picture svg").is_visible()
    assert page.locator('input[data-key="load.resistance"]').is_visible()
    page.keyboard.press("Escape")
    assert page.locator("#box-winding").is_visible()


def test_without_the_token_there_is_a_sentence_and_nothing_else(use: Use, served: Served, browser: Any) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(served.home)
    assert "address that railwright serve printed" in page.locator("main").text_content()
    context.close()


def test_the_token_leaves_the_address(use: Use) -> None:
    assert "token" not in use().page.url


def test_a_sheets_text_stays_text_in_the_page(use: Use) -> None:
    app = use()
    app.begin("bridge")
    app.go("sheet")
    page = app.page
    planted = "<img src=x onerror=document.title=1><b id=planted>x</b>"
    text = page.locator("#sheet-text").input_value().replace('"Bridge"', f"'{planted}'")
    page.locator("#sheet-text").fill(text)
    app.rest()
    app.go("circuit")
    assert page.locator("#planted").count() == 0
    assert planted in page.locator("#view-circuit-title").text_content()
