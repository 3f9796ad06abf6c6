"""How fast the app follows a slider, how soon its first view stands, and how twenty clients at once fare.

Run: `python benchmarks/app_drag.py [picture|first|crowd]`. Wall-clock times on a shared machine jump; the server's CPU
time a request is told beside them, and the median of several runs is what counts.
"""

from __future__ import annotations

import asyncio
import os
import random
import shutil
import statistics
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path[:0] = [str(Path(__file__).resolve().parent.parent / name) for name in ("src", "tests")]

from web.served import Served, serving  # noqa: E402

RUNS = 5
STEPS = 60  # moves of the slider in one run
CLIENTS = 20
SECONDS = 60.0
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip


def quantile(values: list[float], share: float) -> float:
    """A quantile of measured values, the next higher one."""
    return sorted(values)[min(int(share * len(values)), len(values) - 1)]


def cpu_seconds(served: Served) -> float:
    """CPU time of the app and its workers so far. [s]"""
    tick = os.sysconf("SC_CLK_TCK")
    total = 0.0
    mine = {served.process.pid}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text().rsplit(") ", 1)[1].split()
            except OSError:
                continue
            if int(entry.name) in mine or int(fields[1]) in mine:
                total += (int(fields[11]) + int(fields[12])) / tick
    return total


def chromium() -> str:
    """The browser."""
    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        raise SystemExit("No Chromium is here.")
    return path


#: In the page: move the slider one step, wait for the new picture to be painted, note the time; for each step.
DRAG = """
async ([key, steps, first]) => {
  const slider = document.querySelector(`input[data-key="${key}"]`);
  const number = document.querySelector('.big [data-reading]');
  const paint = () => new Promise(done => requestAnimationFrame(() => setTimeout(done)));
  const times = [];
  for (let k = 0; k < steps; k += 1) {
    const lines = document.querySelector('#view-circuit .lines-by-hand');
    // The lines of working are the last thing that an answer changes on the page.
    const changed = new Promise(done => {
      const observer = new MutationObserver(() => { observer.disconnect(); done(); });
      observer.observe(lines, { childList: true });
    });
    const began = performance.now();
    slider.value = first + k * 2;
    slider.dispatchEvent(new Event('input', { bubbles: true }));
    await changed;
    await paint();
    times.push(performance.now() - began);
  }
  slider.dispatchEvent(new Event('change', { bubbles: true }));
  return times;
}
"""


def picture() -> None:
    """From a slider's move to the new picture, in Chromium."""
    from playwright.sync_api import sync_playwright

    with TemporaryDirectory() as folder, serving(Path(folder)) as served, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=list(FLAGS))
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(served.address)
        page.click('[data-circuit="bridge"]')
        page.wait_for_selector(".lines-by-hand li")
        page.wait_for_timeout(1500)
        medians, ends = [], []
        for run in range(RUNS):
            # What was asked for before would only be looked up: each run has a winding of its own.
            page.fill("#box-winding", str(12 + run))
            page.keyboard.press("Enter")
            page.wait_for_timeout(2000)
            before = cpu_seconds(served)
            times = page.evaluate(DRAG, ["load.resistance", STEPS, 20])
            spent = (cpu_seconds(served) - before) / STEPS
            medians.append(statistics.median(times))
            ends.append(quantile(times, 0.95))
            print(f"run {run + 1}: median {medians[-1]:.0f} ms, p95 {ends[-1]:.0f} ms, server CPU {spent * 1e3:.0f} ms")
            page.wait_for_timeout(1500)
        print(f"slider to new picture: p95, median of {RUNS} runs: {statistics.median(ends):.0f} ms")
        browser.close()


def first() -> None:
    """From the command to the first view, in a browser that is open already."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=list(FLAGS))
        times = []
        for run in range(RUNS):
            with TemporaryDirectory() as folder:
                page = browser.new_page()
                began = time.perf_counter()
                with serving(Path(folder)) as served:
                    page.goto(served.address)
                    page.wait_for_selector('[data-circuit="half-wave-doubler"] img')
                    times.append(time.perf_counter() - began)
                page.close()
            print(f"run {run + 1}: {times[-1]:.2f} s")
        print(f"first view: median of {RUNS} runs: {statistics.median(times):.2f} s")
        browser.close()


async def _one(served: Served, number: int, until: float, times: list[float], wrong: list[str]) -> None:
    import httpx

    chance = random.Random(number)
    async with httpx.AsyncClient(base_url=served.home, headers=served.bearer, timeout=30.0) as client:
        begun = await client.post("/api/begin", json={"circuit": "bridge", "title": f"bench {number}"})
        question = {"sheet": begun.json()["sheet"], "model": "textbook", "course": {"profile": "uk"}}
        reply = await client.post("/api/answer", json={**question, "detail": "rest"})
        have = {"circuit": reply.json()["circuit"]["name"], "ways": list(reply.json()["ways"])}
        value = 100.0
        while time.perf_counter() < until:
            # A finger moves on from where it was; every client at values of its own.
            value = min(max(value * chance.uniform(0.94, 1.06), 20.0), 500.0)
            asked = {**question, "have": have, "detail": "moving", "changes": {"load.resistance": f"{value:.4g} ohm"}}
            began = time.perf_counter()
            reply = await client.post("/api/answer", json=asked)
            times.append(time.perf_counter() - began)
            if reply.status_code != 200:
                wrong.append(reply.text[:200])
            await asyncio.sleep(0.016)


async def _crowd(served: Served, seconds: float) -> None:
    times: list[float] = []
    wrong: list[str] = []
    await asyncio.sleep(3.0)
    before = cpu_seconds(served)
    until = time.perf_counter() + seconds
    await asyncio.gather(*(_one(served, number, until, times, wrong) for number in range(CLIENTS)))
    spent = cpu_seconds(served) - before
    print(
        f"{CLIENTS} clients for {seconds:.0f} s: {len(times)} answers, {len(wrong)} errors, median "
        f"{statistics.median(times) * 1e3:.0f} ms, p95 {quantile(times, 0.95) * 1e3:.0f} ms, "
        f"server CPU {spent / len(times) * 1e3:.0f} ms an answer"
    )
    for words in wrong[:5]:
        print(words)


def crowd() -> None:
    """Twenty clients that drag at once."""
    with TemporaryDirectory() as folder, serving(Path(folder)) as served:
        asyncio.run(_crowd(served, SECONDS))


if __name__ == "__main__":
    wanted = sys.argv[1:] or ["first", "picture", "crowd"]
    for name in wanted:
        {"picture": picture, "first": first, "crowd": crowd}[name]()
