"""How soon a return page stands, how large it is, and how soon a browser shows it.

The demo's page of one subject with its planned day, as a cold process makes it: the first of a
notebook, with nothing kept of what it rests on but skylines, and a later one, with all kept that is
(`plans.kept`). Forty pages are the first of theirs: nothing is kept but what they share; a
hundred take minutes, so they are measured by hand and told in README.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from math import inf
from pathlib import Path
from shutil import which
from statistics import median
from tempfile import TemporaryDirectory

from tests.benchmarks.bench_many import on_the_island
from tests.benchmarks.ratios import Row, cold, numpy_import

PAGES, FASTER = 40, 1.6
_WORDS = ("--date", "2026-12-22", "--batch", "slate coating 4", "--back-by", "16:00")
_BACKBEARING = (sys.executable, "-m", "backbearing")


def rows() -> Iterator[Row]:
    with TemporaryDirectory() as name:
        folder = Path(name)
        demo, page = folder / "demo", folder / "page.html"
        subprocess.run([*_BACKBEARING, "demo", "--out", str(demo)], check=True, capture_output=True)
        notebook = demo / "island.gpkg"
        argv = [*_BACKBEARING, "--notebook", str(notebook), "map", "winding house", *_WORDS]
        argv += ["--aperture", "f/16", "--out", str(page)]
        for what, bound, later in (("a later page", 15.0, True), ("a first page", 75.0, False)):
            if later:
                cold(argv, 1)
            yardstick, taken = numpy_import(), []
            for number in range(5):
                env = {**os.environ} if later else _nothing_kept(folder / f"cache{number}")
                taken.append(cold(argv, 1, env=env))
            took = median(taken)
            yield Row(
                f"{what} of a notebook, cold process, times import numpy",
                took / yardstick,
                "at most",
                bound,
                f"{took * 1e3:.0f} ms against {yardstick * 1e3:.0f} ms",
            )
        size = (demo / "return.html").stat().st_size
        yield Row("size of the demo's page, MB", size / 1e6, "at most", 2.5)
        yield from _first_paint(demo / "return.html")
        yield from _many(folder)


def _nothing_kept(cache: Path) -> dict[str, str]:
    return {**os.environ, "XDG_CACHE_HOME": str(cache)}


def _first_paint(page: Path) -> Iterator[Row]:
    """In headless chromium, from disk, by the browser's own clock (Paint Timing, W3C)."""
    path = which("chromium") or which("chromium-browser")
    if path is None:
        return
    from playwright.sync_api import sync_playwright

    asked = "performance.getEntriesByName('first-contentful-paint').map(each => each.startTime)"
    taken = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        for _ in range(5):
            opened = browser.new_page(viewport={"width": 1440, "height": 900})
            opened.goto(page.as_uri())
            opened.wait_for_function(f"{asked}.length > 0")
            taken.append(float(opened.evaluate(asked)[0]))
            opened.close()
        browser.close()
    yield Row("first paint of the demo's page from disk, s", median(taken) / 1e3, "at most", 1.0)


def _many(folder: Path) -> Iterator[Row]:
    """Pages of many subjects over the demo's ground, two processes first: what a machine keeps of
    the files then is to their loss. A minute each: only what falls short is run again, and the
    shortest of each kind counts."""
    made, used = folder / "many.gpkg", folder / "used.gpkg"
    on_the_island(made, PAGES)
    alone, shared, peak_mb = inf, inf, 0.0
    for turn in range(2):
        for processes in (2, 1):
            shutil.copyfile(made, used)
            argv = [*_BACKBEARING, "--notebook", str(used), "map", "--each", "--from", "2026-11-28"]
            argv += ["--out", str(folder / "pages"), "--processes", str(processes)]
            took, most_mb = _whole_run(argv, _nothing_kept(folder / f"many{turn}{processes}"))
            if processes == 2:
                shared, peak_mb = min(shared, took), max(peak_mb, most_mb)
            else:
                alone = min(alone, took)
        if alone / shared >= FASTER:
            break
    yield Row(
        f"{PAGES} pages and their overview, two processes: times as fast as one",
        alone / shared,
        "at least",
        FASTER,
        f"{shared:.1f} s against {alone:.1f} s",
    )
    yield Row("the same, peak memory of the largest of the two, MB", peak_mb, "at most", 350.0)


def _whole_run(argv: list[str], env: dict[str, str]) -> tuple[float, float]:
    """Seconds by the clock, and the peak memory [MB] of the largest process of a run."""
    start = time.perf_counter()
    process = subprocess.Popen(argv, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, code, used = os.wait4(process.pid, 0)
    took = time.perf_counter() - start
    if code:
        raise RuntimeError(f"{argv} ended with {code}")
    return took, used.ru_maxrss / 1024.0
