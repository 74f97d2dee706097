"""Tracks, routes, waypoints and the files they came from."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.notebook import samples

from backbearing.errors import NotebookError, NotFound
from backbearing.notebook import Notebook, open_notebook, tracks
from backbearing.notebook.bin import discard
from backbearing.records import Route, Segment, Track, Waypoint


def store(notebook: Notebook, track: Track, content: bytes = b"<gpx/>") -> int:
    with notebook.writing():
        original_id = tracks.store_original(notebook, samples.original(content))
        return tracks.store_track(notebook, original_id, track, samples.summary(track))


@given(st.lists(samples.segments(), max_size=3), samples.any_text, samples.any_text)
def test_a_track_comes_back_as_it_was(
    tmp_path_factory: pytest.TempPathFactory, segments: list[Segment], name: str, comment: str
) -> None:
    given_track = Track(name=name, comment=comment, segments=tuple(segments), line=7)
    with open_notebook(tmp_path_factory.mktemp("n") / "n.gpkg", create=True) as notebook:
        again = tracks.load_track(notebook, store(notebook, given_track))
    assert (again.name, again.comment, again.line) == (name, comment, 7)
    assert len(again.segments) == len(segments)
    assert all(map(samples.same_segment, segments, again.segments))


def test_its_numbers_are_listed_without_its_fixes(notebook: Notebook) -> None:
    walked = samples.track(samples.segment(4), samples.segment(2, "2024-05-01T11:00"))
    track_id = store(notebook, walked)
    (listed,) = tracks.list_tracks(notebook)
    assert listed.id == track_id
    assert listed.file_name == "walk.gpx"
    assert listed.segments == 2
    assert listed.summary == samples.summary(walked)


def test_listing_loads_no_numpy(notebook: Notebook, path: Path) -> None:
    store(notebook, samples.track(samples.segment()))
    code = (
        "import sys; from backbearing.notebook import open_notebook, tracks, subjects, bin\n"
        f"with open_notebook({str(path)!r}, readonly=True) as n:\n"
        "    tracks.list_tracks(n); tracks.list_routes(n); tracks.list_waypoints(n)\n"
        "    subjects.list_subjects(n); subjects.list_camera_positions(n)\n"
        "assert 'numpy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


def test_tracks_are_listed_by_time_and_filtered(notebook: Notebook) -> None:
    walked = samples.track(samples.segment())
    with notebook.writing():
        original_id = tracks.store_original(notebook, samples.original())
        ids = [
            tracks.store_track(notebook, original_id, walked, samples.summary(walked, started))
            for started in (None, samples.NOON + timedelta(days=1), samples.NOON)
        ]
    assert [t.id for t in tracks.list_tracks(notebook)] == [ids[2], ids[1], ids[0]]
    # under way, not begun: the walk that began at noon is still going at one
    at_one = samples.NOON + timedelta(hours=1)
    assert [t.id for t in tracks.list_tracks(notebook, until=at_one)] == [ids[2]]
    assert [t.id for t in tracks.list_tracks(notebook, since=at_one)] == [ids[2], ids[1]]


@pytest.mark.parametrize(
    ("box", "touched"),
    [
        ((-22.0, 46.0, -20.0, 48.0), True),
        ((-20.95, 47.05, 0.0, 50.0), True),
        ((-20.0, 46.0, -19.0, 48.0), False),
        ((-22.0, 48.0, -20.0, 49.0), False),
        ((170.0, 46.0, -20.95, 48.0), True),  # across the antimeridian
        ((170.0, 46.0, -170.0, 48.0), False),
    ],
)
def test_tracks_are_filtered_by_area(notebook: Notebook, box: tracks.Bounds, touched: bool) -> None:
    store(notebook, samples.track(samples.segment()))  # -21 … -20.9, 47 … 47.1
    assert bool(tracks.list_tracks(notebook, bounds_deg=box)) is touched


def test_an_unknown_track_is_not_found(notebook: Notebook) -> None:
    with pytest.raises(NotFound, match="no track 12"):
        tracks.load_track(notebook, 12)


def test_all_tracks_come_one_after_the_other(notebook: Notebook) -> None:
    store(notebook, samples.track(samples.segment(), name="one"), b"1")
    store(notebook, samples.track(samples.segment(), name="two"), b"2")
    assert [
        (stored.name, len(track.segments)) for stored, track in tracks.iterate_tracks(notebook)
    ] == [("one", 1), ("two", 1)]


def test_a_file_is_known_again_by_its_digest(notebook: Notebook) -> None:
    given_file = samples.original(b"<gpx>\x00\xff</gpx>", "/home/somebody/../walk.gpx")
    assert tracks.find_original(notebook, given_file.sha256) is None
    with notebook.writing():
        original_id = tracks.store_original(notebook, given_file)
    assert tracks.find_original(notebook, given_file.sha256) == original_id
    kept = tracks.load_original(notebook, original_id)
    assert kept.content == given_file.content
    assert kept.file_name == "walk.gpx"  # never a path


def test_a_kept_file_that_is_damaged_or_claims_too_much_is_refused(notebook: Notebook) -> None:
    with notebook.writing():
        original_id = tracks.store_original(notebook, samples.original(bytes(100_000)))
    for change in ("size = 99", f"size = {10**15}", "size = 'x'", "content = x'00'"):
        with notebook.writing():
            notebook.run(f"UPDATE originals SET {change}")
        with pytest.raises(NotebookError, match=r"kept copy of 'walk.gpx' is damaged"):
            tracks.load_original(notebook, original_id)


def test_a_deleted_track_of_a_known_file_is_found_in_the_bin(notebook: Notebook) -> None:
    track_id = store(notebook, samples.track(samples.segment()))
    with notebook.writing():
        binned = discard(notebook, "track", track_id)
    assert tracks.binned_tracks_of(notebook, 1) == [binned.id]
    assert tracks.binned_tracks_of(notebook, 2) == []


@given(st.lists(samples.waypoints, max_size=4), st.lists(samples.routes, max_size=3))
def test_waypoints_and_routes_come_back_as_they_were(
    tmp_path_factory: pytest.TempPathFactory, waypoints: list[Waypoint], routes: list[Route]
) -> None:
    with open_notebook(tmp_path_factory.mktemp("n") / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            original_id = tracks.store_original(notebook, samples.original())
            for waypoint in waypoints:
                tracks.store_waypoint(notebook, original_id, waypoint)
            for route in routes:
                tracks.store_route(notebook, original_id, route)
        listed = tracks.list_waypoints(notebook)
        assert [replace(w, id=None) for w in listed] == waypoints
        assert [w.id for w in listed] == list(range(1, len(waypoints) + 1))
        assert [replace(r, id=None) for r in tracks.list_routes(notebook)] == routes
