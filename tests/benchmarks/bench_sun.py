"""A year of minutes of the sun, beside astral and pvlib on the same instants.

python -m tests.benchmarks bench_sun
"""

from __future__ import annotations

import subprocess
import sys
import warnings
from collections.abc import Iterator
from datetime import UTC

import numpy as np

from tests.benchmarks.ratios import Row, best_of

LATITUDE, LONGITUDE = 47.0, -21.0
YEAR = np.arange("2026-01-01", "2027-01-01", dtype="datetime64[m]")
ASTRAL_EVERY = 50  # astral takes one instant at a time: every 50th is timed, and scaled up

# VmHWM, not ru_maxrss: the latter starts from the parent's, which has pandas in it
PEAK = """
import numpy as np
from backbearing.models.sun import sun_position
year = np.arange("2026-01-01", "2027-01-01", dtype="datetime64[m]")
sun = sun_position(year, 47.0, -21.0)
print(next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
"""


def ours_s(*, remembered: bool) -> float:
    from backbearing.models import sun

    def call() -> None:
        if not remembered:
            sun._cubics.cache_clear()
        sun.sun_position(YEAR, LATITUDE, LONGITUDE)

    return best_of(call, times=9)


def astral_s() -> float:
    from astral import Observer
    from astral.sun import zenith_and_azimuth

    observer = Observer(LATITUDE, LONGITUDE, 0.0)
    instants = [t.replace(tzinfo=UTC) for t in YEAR[::ASTRAL_EVERY].tolist()]

    def call() -> None:
        for instant in instants:
            zenith_and_azimuth(observer, instant)

    return best_of(call, times=3) * len(YEAR) / len(instants)


def pvlib_s() -> float:
    import pandas as pd

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pvlib.solarposition import get_solarposition

    times = pd.DatetimeIndex(YEAR, tz="UTC")
    return best_of(
        lambda: get_solarposition(times, LATITUDE, LONGITUDE, method="nrel_numpy"), times=3
    )


def rows() -> Iterator[Row]:
    first = ours_s(remembered=False)
    again = ours_s(remembered=True)
    for name, bound, reference in (
        ("astral", 30.0, astral_s()),
        ("pvlib nrel_numpy", 25.0, pvlib_s()),
    ):
        yield Row(
            f"year of minutes of sun, {name} / ours",
            reference / first,
            "at least",
            bound,
            f"({reference:.2f} s / {first * 1000:.0f} ms; {again * 1000:.0f} ms where the days "
            "are remembered)",
        )
    done = subprocess.run([sys.executable, "-c", PEAK], capture_output=True, text=True, check=True)
    peak_mb = int(done.stdout) / 1024.0
    yield Row("year of minutes of sun, peak MB of the process", peak_mb, "at most", 150.0)
