"""The map's planned way, walked or not, and the bar of what the plate sees."""

from __future__ import annotations

import re
from dataclasses import replace
from math import atan2, cos, degrees, radians
from types import SimpleNamespace
from typing import Any, cast

import pytest
from tests.writers.return_pages import quarry_page, quarry_subject

from backbearing.plans.drawnways import METRES_A_DEGREE, DrawnTrack, walked_within_m, way_pieces
from backbearing.writers.page.chart import close_map, plate_ends, plate_label
from backbearing.writers.page.lines import ways_of

WAY = ((47.0, -21.0), (47.01, -21.0))  # 1112 m to the north


def track(*line: tuple[float, float]) -> DrawnTrack:
    return DrawnTrack(track=cast("Any", None), lines=(line,))


def test_what_lies_within_the_error_of_a_track_is_walked_and_the_lengths_add_up() -> None:
    aside = 10.0 / (METRES_A_DEGREE * cos(radians(47.0)))
    half = track((47.0, -21.0 + aside), (47.005, -21.0 + aside))
    pieces = way_pieces(WAY, [half], 4.0)
    assert [piece.walked for piece in pieces] == [True, False]
    assert sum(piece.length_m for piece in pieces) == pytest.approx(1111.95, abs=0.1)
    assert pieces[0].length_m == pytest.approx(555.97 + walked_within_m(4.0), abs=11.0)
    assert pieces[0].line[-1] == pieces[1].line[0], "no gap in the line"
    assert pieces[-1].line[-1] == pytest.approx(WAY[-1])


def test_without_tracks_nothing_is_walked_and_without_a_way_there_are_no_pieces() -> None:
    assert [piece.walked for piece in way_pieces(WAY, [], 4.0)] == [False]
    assert way_pieces((), [track(*WAY)], 4.0) == ()


def test_the_bar_lies_across_the_cameras_line_as_wide_as_the_plate_sees() -> None:
    page = quarry_page(quarry_subject())
    each = page.subjects[0]
    frame = SimpleNamespace(bearing_deg=30.0, sees_m=40.0)
    held = SimpleNamespace(pictures=[SimpleNamespace(subject=each.subject.name, frame=frame)])
    page = replace(page, tripod=cast("Any", held))
    (lat1, lon1), (lat2, lon2) = plate_ends(page, each)
    north = (lat1 - lat2) * METRES_A_DEGREE
    east = (lon1 - lon2) * METRES_A_DEGREE * cos(radians(lat1))
    assert (north**2 + east**2) ** 0.5 == pytest.approx(40.0, rel=1e-3)
    assert degrees(atan2(east, north)) == pytest.approx(120.0, abs=0.1)
    assert plate_label(page, each) == "plate sees 40 m"
    drawn = close_map(page, each, ways_of(page))
    assert re.search('class="plate-bar"', drawn)
    assert "plate sees 40 m" in drawn
    assert plate_ends(replace(page, tripod=None), each) == []
