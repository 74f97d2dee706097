"""The walk that finds the demo's lost subject, made of the planned one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.plans.search.test_search_walk import ask, open_ground, walled
from tests.plans.test_approach import bare, level, place

from backbearing.errors import BadInput
from backbearing.notebook import Notebook
from backbearing.places.geodesy import inverse
from backbearing.plans.lostwalk import INVENTED, walked_gpx
from backbearing.readers.gpx import read_gpx

__all__ = ["bare", "level", "open_ground", "walled"]  # fixtures


def test_it_goes_through_the_passage_to_the_subject_and_home(
    walled: Notebook, tmp_path: Path
) -> None:
    walk, stone = ask(walled), place(400.0, 10.0)
    text = walked_gpx(walk, stone)
    assert INVENTED in text
    path = tmp_path / "walked.gpx"
    path.write_text(text, encoding="utf-8")
    found = read_gpx(path)
    assert not found.faults
    (segment,) = found.tracks[0].segments
    assert np.all(np.diff(segment.time) > np.timedelta64(0, "s"))

    def nearest_m(at: object) -> float:
        spots = zip(segment.latitude_deg.tolist(), segment.longitude_deg.tolist(), strict=True)
        return min(inverse(*spot, at.latitude_deg, at.longitude_deg)[1] for spot in spots)  # type: ignore[attr-defined]

    assert nearest_m(stone) < 1.0
    assert nearest_m(place(0.0, 0.0)) < 25.0  # the hole in the wall
    start = place(-600.0, 0.0)
    for end in (0, -1):
        spot = float(segment.latitude_deg[end]), float(segment.longitude_deg[end])
        assert inverse(*spot, start.latitude_deg, start.longitude_deg)[1] < 30.0
    assert walked_gpx(walk, stone) == text


def test_a_walk_that_tries_no_passage_is_none(open_ground: Notebook) -> None:
    with pytest.raises(BadInput, match="no passage"):
        walked_gpx(ask(open_ground), place(400.0, 10.0))
