"""A year of minutes against a skyline, beside the sun positions alone.

python -m tests.benchmarks bench_sunlight
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from backbearing.models.illuminance import illuminance
from backbearing.models.sun import sun_position
from backbearing.models.sundays import sun_days
from backbearing.models.sunlight import (
    disc_fraction,
    flat_skyline,
    sunlit_spans,
    upper_limb_above_skyline_deg,
)
from tests.benchmarks.ratios import Row, best_of

HERE = (47.0, -21.0)
YEAR = np.arange("2026-01-01", "2027-01-01", dtype="datetime64[m]")
MIDNIGHTS = np.arange("2026-01-01", "2027-01-02", dtype="datetime64[D]").astype("datetime64[ms]")


def rows() -> Iterator[Row]:
    flat = flat_skyline()
    turn = np.radians(flat.azimuth_deg)
    land = replace(flat, altitude_deg=14.0 + 9.0 * np.cos(5.0 * turn) + 3.0 * np.sin(40.0 * turn))
    error_deg = np.full(flat.azimuth_deg.shape, 0.5)

    def fraction() -> None:
        sun = sun_position(YEAR, *HERE)
        disc_fraction(land, sun.azimuth_deg, sun.altitude_deg, sun.distance_au)

    there = sun_position(YEAR, *HERE)

    def light() -> None:
        disc = disc_fraction(land, there.azimuth_deg, there.altitude_deg, there.distance_au)
        illuminance(
            there.altitude_deg,
            there.azimuth_deg,
            disc_fraction=disc,
            face_azimuth_deg=180.0,
            face_sky_view=0.4,
            level_sky_view=0.8,
        )

    reference = best_of(lambda: sun_position(YEAR, *HERE), times=9)
    asked: tuple[tuple[str, float, Callable[[], object]], ...] = (
        (
            "upper limb over the skyline",
            2.0,
            lambda: upper_limb_above_skyline_deg(land, YEAR, *HERE),
        ),
        ("spans of sun", 2.0, lambda: sunlit_spans(land, *HERE, YEAR[0], YEAR[-1])),
        ("fraction of the disc", 2.0, fraction),
        ("light on a face, disc included, positions given", 2.0, light),
        ("first and last sun of each day", 2.0, lambda: sun_days(land, *HERE, MIDNIGHTS)),
        (
            "the same with its minutes of doubt",
            2.0,
            lambda: sun_days(land, *HERE, MIDNIGHTS, error_deg=error_deg),
        ),
    )
    for words, bound, call in asked:
        took = best_of(call)
        yield Row(
            f"year of minutes, {words} / sun positions alone",
            took / reference,
            "at most",
            bound,
            f"({took * 1e3:.0f} ms / {reference * 1e3:.0f} ms)",
        )
