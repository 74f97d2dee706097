"""An error of position is told where something of the answer turns on it, and not before."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from tests.writers.return_pages import quarry_subject, window

from backbearing.plans.horizon import Appearance, Blocker
from backbearing.plans.page import ReturnSubject
from backbearing.plans.unsureplace import unsure_place
from backbearing.records import FARTHEST_LOOK_M


def known_to(error_m: float, **camera: object) -> ReturnSubject:
    each = quarry_subject()
    place = replace(each.subject.place, error_m=error_m)
    return replace(
        each,
        subject=replace(each.subject, place=place),
        cameras=(replace(each.cameras[0], **camera),),  # type: ignore[arg-type]
    )


def skyline_of(*edges_m: float | None) -> Any:
    """As much of a skyline's answer as is read: a day's sun over ground so far off."""

    def edge(distance_m: float | None) -> Blocker:
        return Blocker(
            point="",
            azimuth_deg=130.0,
            altitude_deg=9.0,
            error_deg=0.2,
            distance_m=distance_m,
            near=False,
        )

    at = window("").start
    suns = [
        Appearance(
            start=at,
            end=at,
            start_plus_minus_min=2.0,
            end_plus_minus_min=None,
            comes_over=edge(one),
            goes_behind=None,
        )
        for one in edges_m
    ]
    return SimpleNamespace(days=[SimpleNamespace(day=date(2026, 10, 18), appearances=suns)])


def test_a_place_well_known_says_nothing() -> None:
    assert unsure_place(known_to(18.0), skyline_of(1100.0, None)) is None
    assert unsure_place(known_to(18.0), None) is None


def test_ground_over_which_the_sun_comes_at_another_time_does_not_count() -> None:
    each, low = known_to(300.0), skyline_of(140.0)
    later = replace(low.days[0].appearances[0], start=window("").end + timedelta(hours=2))
    evening = SimpleNamespace(days=[SimpleNamespace(appearances=[later])])
    assert unsure_place(each, evening) is None  # type: ignore[arg-type]
    without = replace(each, windows=())
    assert unsure_place(without, evening) is not None, "no light found: all of the day counts"  # type: ignore[arg-type]


@pytest.mark.parametrize(("error_m", "reached"), [(139.0, False), (140.0, True), (300.0, True)])
def test_it_is_told_where_it_reaches_the_ground_that_lets_the_sun_in(
    error_m: float, reached: bool
) -> None:
    found = unsure_place(known_to(error_m), skyline_of(1100.0, 140.0, None))
    assert (found is not None) == reached
    assert found is None or found.edge_m == 140.0


def test_it_is_told_where_it_reaches_a_camera_that_looks_by_no_bearing() -> None:
    unmeasured = {"bearing": None, "distance_m": None}  # stands 30 m away
    assert unsure_place(known_to(25.0, **unmeasured), None) is None
    found = unsure_place(known_to(35.0, **unmeasured), None)
    assert found is not None
    assert found.camera == "main"
    assert unsure_place(known_to(35.0), None) is None, "with a bearing the place goes by it"


def test_it_is_told_where_one_does_not_see_so_far_and_then_for_the_clock_too() -> None:
    assert unsure_place(known_to(FARTHEST_LOOK_M), None) is None
    found = unsure_place(known_to(38_000.0), None)
    assert found is not None
    assert found.out_of_sight
    # a degree of longitude is 4 minutes of the sun: 38 km at 47.08° are half a degree
    assert found.clock_min == pytest.approx(2.0, abs=0.02)
