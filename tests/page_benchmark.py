"""How soon the page follows a hand: `python -m tests.page_benchmark`, called by `python -m tests.benchmarks` too.

A ring is dragged in a real browser that draws for itself, its tank swimming, as on a machine without a graphics card.
A verdict counts from the movement of the mouse until the frame after it is drawn; swimming from the release until the
first frame of the new pull is. Processor time is of server and browser together, for one release with its drag.
"""

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from sim.page.starts import start_texts
from tests.benchmark_targets import say
from tests.browser.conftest import PROGRAM

SCENARIOS = Path(__file__).parents[1] / "scenarios"
DEMOS = ("cellar_door", "thimble_oar", "porch_light")
STARTS = ("carved", "found", "blade")
RELEASES, MOVES = 4, 6  # of each lure; of the mouse before each release
COUNTED = ("chrom", "python")
TICKS = os.sysconf("SC_CLK_TCK") if hasattr(os, "sysconf") else 100
WATCH = """() => {
  window.verdicts = []; window.swims = [];
  let moved = 0, let_go = 0;
  const drawn = (times, since) => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => { times.push(performance.now() - since); };
    port2.postMessage(0);
  });
  const watch = (of, how, then) => new MutationObserver(then).observe(document.querySelector(of), how);
  addEventListener("pointermove", (e) => { moved = e.timeStamp; }, true);
  addEventListener("pointerup", (e) => { let_go = e.timeStamp; moved = 0; }, true);
  watch("#verdict", { childList: true, subtree: true }, () => { if (moved) drawn(verdicts, moved); moved = 0; });
  watch("#tank", { attributeFilter: ["data-begun"] }, () => { if (let_go) drawn(swims, let_go); let_go = 0; });
}"""


def _used():
    """Processor seconds of server and browser, and of all below them (Linux)."""
    names, parents, used = {}, {}, {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            name, _, rest = stat.read_text().partition("(")[2].rpartition(")")
        except OSError:
            continue
        words, process = rest.split(), int(stat.parent.name)
        names[process], parents[process] = name, int(words[1])
        used[process] = (int(words[11]) + int(words[12])) / TICKS

    def mine(process):
        return process == os.getpid() or (process in parents and mine(parents[process]))

    return sum(
        seconds for process, seconds in used.items() if mine(process) and names[process].startswith(COUNTED)
    )


def dragged(text, name, still=False, releases=RELEASES):
    """Milliseconds until each verdict and each swim; processor seconds and seconds of one release with its moves."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        (Path(folder) / "lure.toml").write_text(text, encoding="utf-8")
        server = subprocess.Popen(
            [sys.executable, "-m", "sim", "open", "--no-browser", "lure.toml"], cwd=folder, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": str(SCENARIOS.parent)},
        )  # fmt: skip
        browser = playwright.chromium.launch(executable_path=PROGRAM, args=["--no-sandbox"])
        try:
            page = browser.new_context(
                viewport={"width": 1280, "height": 900}, reduced_motion="reduce" if still else "no-preference"
            ).new_page()
            page.goto(re.search(r"http\S+", server.stdout.readline()).group())
            page.locator("#map .words p").first.wait_for(timeout=300_000)
            page.evaluate(WATCH)
            before, begun = time.monotonic(), _used()
            for k in range(releases):
                _drag(page, 1 if k % 2 else -1)
            each = (_used() - begun) / releases, (time.monotonic() - before) / releases
            return page.evaluate("verdicts"), page.evaluate("swims"), each
        finally:
            browser.close()
            server.terminate()
            server.wait()


def _drag(page, way):
    page.wait_for_timeout(300)
    ring = page.locator('.handle.tie-on[data-view="side"] .dot').first.bounding_box()
    x, y = ring["x"] + ring["width"] / 2, ring["y"] + ring["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, MOVES + 1):
        seen = page.evaluate("verdicts.length")
        page.mouse.move(x + way * step, y + 0.5 * way * step)
        page.wait_for_function("seen => verdicts.length > seen", arg=seen, polling=10)
    swum = page.evaluate("swims.length")
    page.mouse.up()
    page.wait_for_function("swum => swims.length > swum", arg=swum, polling=10)


def _late(values):
    """What 95 % are not later than."""
    return statistics.quantiles(values, n=20, method="inclusive")[-1]


def page_follows():
    """Drags and releases of every lure, and all of them together."""
    if PROGRAM is None:
        return
    texts = {name: (SCENARIOS / f"{name}.toml").read_text(encoding="utf-8") for name in DEMOS}
    texts |= {name: start_texts(name, "lure.toml")["lure.toml"] for name in STARTS}
    verdicts, swims = [], []
    print(
        f"\n{'a ring dragged on the page':32s}{'verdict ms':>12s}{'95 %':>6s}{'swims ms':>10s}{'95 %':>6s}",
        end="",
    )
    print(f"{'processor s':>13s}{'of s':>6s}")
    for name, text in texts.items():
        told, swum, (used, took) = dragged(text, name)
        print(
            f"{name:32s}{statistics.median(told):12.0f}{_late(told):6.0f}{statistics.median(swum):10.0f}"
            f"{_late(swum):6.0f}{used:13.2f}{took:6.2f}"
        )
        verdicts += told
        swims += swum
    say(f"verdict while dragging, median of {len(verdicts)}", statistics.median(verdicts), 60, "ms")
    say("verdict while dragging, 95 %", _late(verdicts), 120, "ms")
    say(f"release to swimming, median of {len(swims)}", statistics.median(swims), 250, "ms")
    say("release to swimming, 95 %", _late(swims), 250, "ms")


if __name__ == "__main__":
    page_follows()
