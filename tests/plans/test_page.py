"""What is gathered for a return, from a real notebook."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadInput, NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import (
    add_camera_position,
    add_note,
    add_subject,
    update_subject,
)
from backbearing.notebook.tracks import store_original, store_route, store_track, store_waypoint
from backbearing.places.bearings import declination_deg
from backbearing.plans.drawnways import simplify
from backbearing.plans.page import ReturnPage, gather_page
from backbearing.plans.pageasked import ask_page
from backbearing.records import (
    Bearing,
    CameraPosition,
    Note,
    Original,
    Place,
    Route,
    Segment,
    Subject,
    Track,
    WalkSummary,
    WantedLight,
    Waypoint,
)

START = date(2026, 10, 12)
LATITUDE, LONGITUDE = 47.0032, -21.0006


def place(latitude: float = LATITUDE, longitude: float = LONGITUDE) -> Place:
    return Place(latitude_deg=latitude, longitude_deg=longitude, error_m=10.0, error_basis="given")


def segment(latitude: list[float], longitude: list[float]) -> Segment:
    count = len(latitude)
    return Segment(
        longitude_deg=np.array(longitude, dtype=float),
        latitude_deg=np.array(latitude, dtype=float),
        height_m=np.full(count, np.nan),
        time=np.full(count, np.datetime64("NaT"), dtype="datetime64[ms]"),
    )


def summary(
    latitude: float = LATITUDE, longitude: float = LONGITUDE, *, points: int = 2
) -> WalkSummary:
    return WalkSummary(
        points=points,
        length_m=130.0,
        ascent_m=None,
        descent_m=None,
        moving_s=None,
        standing_s=None,
        suspect_fixes=0,
        gaps=0,
        started=None,
        ended=None,
        bounds_deg=(longitude, latitude, longitude + 0.001, latitude + 0.001),
    )


def put_walk(
    notebook: Notebook, name: str, latitude: float, longitude: float, one: Segment | None = None
) -> None:
    one = one or segment([latitude, latitude + 0.001], [longitude, longitude + 0.001])
    original = store_original(
        notebook,
        Original(sha256=f"{name:0<64}", file_name=f"{name}.gpx", media="gpx", content=b"<gpx/>"),
    )
    store_track(notebook, original, Track(name=name, segments=(one,)), summary(latitude, longitude))
    point = Waypoint(latitude_deg=latitude, longitude_deg=longitude, name=f"{name} wpt")
    store_waypoint(notebook, original, point)
    store_route(notebook, original, Route(name=f"{name} rte", points=(point,)))


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two subjects of one quarry, one of them hindered, a walk there and one far away."""
    path = tmp_path_factory.mktemp("filled") / "notebook.gpkg"
    with open_notebook(path, create=True) as opened, opened.writing():
        set_setting(opened, "zone", "Atlantic/Azores")
        add_subject(opened, Subject(name="arch", place=place(LATITUDE - 0.001)))
        house = add_subject(
            opened,
            Subject(
                name="winding house",
                place=place(),
                blocked="windfall",
                wanted=WantedLight(delta_deg=(45.0, 135.0), sun_altitude_deg=(5.0, 25.0)),
            ),
        )
        add_camera_position(
            opened,
            CameraPosition(
                place=place(LATITUDE + 0.0001),
                bearing=Bearing(true_deg=209.0, error_deg=2.0, as_written="215M"),
                subject_id=house.id,
            ),
        )
        written = datetime(2026, 3, 14, 15, 32, tzinfo=UTC)
        add_note(opened, Note(text="rope gone", written_at=written, subject_id=house.id))
        put_walk(opened, "near", LATITUDE, LONGITUDE - 0.002)
        put_walk(opened, "far", LATITUDE + 3.0, LONGITUDE)
    return path


@pytest.fixture
def notebook(filled: Path, tmp_path: Path) -> Iterator[Notebook]:
    """A copy of it."""
    with open_notebook(Path(shutil.copy(filled, tmp_path))) as opened:
        yield opened


@pytest.fixture(scope="module")
def whole(filled: Path) -> ReturnPage:
    """The page of all that is in it."""
    with open_notebook(filled, readonly=True) as opened:
        return gather_page(opened, [], start=START)


def test_a_hindered_subject_comes_first_with_all_that_is_known_of_it(whole: ReturnPage) -> None:
    assert [each.subject.name for each in whole.subjects] == ["winding house", "arch"]
    house = whole.subjects[0]
    assert [c.name for c in house.cameras] == ["main"]
    assert [n.text for n in house.notes] == ["rope gone"]
    assert house.zone == "Atlantic/Azores"
    assert house.wanted.endswith("(on record)")
    assert whole.subjects[1].wanted.endswith("(generic default)")


def test_its_windows_come_soonest_first(whole: ReturnPage) -> None:
    house = whole.subjects[0]
    starts = [window.start for window in house.windows]
    assert starts == sorted(starts)
    assert house.windows[0].day >= START


def test_notes_of_no_subject_come_along_where_they_were_written_near_by(
    notebook: Notebook,
) -> None:
    written = datetime(2026, 3, 14, 15, 32, tzinfo=UTC)
    with notebook.writing():
        for text, observed in (
            ("windfall", {"stood at": f"{LATITUDE}, {LONGITUDE} ± 6 m (track 3 at 13:08 UTC−1)"}),
            ("far off", {"stood at": f"{LATITUDE + 3}, {LONGITUDE} ± 6 m (track 4)"}),
            ("somewhere", {"unplaced": "no track covers 03:00"}),
        ):
            add_note(notebook, Note(text=text, written_at=written, observed=observed))
    every = gather_page(notebook, [], start=START).loose_notes
    assert [each.note.text for each in every] == ["windfall", "somewhere"]
    one = gather_page(notebook, ["arch"], start=START).loose_notes
    assert [each.note.text for each in one] == ["windfall"]


def test_the_compass_is_turned_by_the_declination_of_the_day(
    notebook: Notebook, whole: ReturnPage
) -> None:
    house = whole.subjects[0]
    value, _ = declination_deg(LATITUDE, LONGITUDE, None, START)
    assert house.declination_deg == pytest.approx(value, abs=0.01)
    late = gather_page(notebook, ["winding house"], start=date(2031, 1, 1)).subjects[0]
    assert late.declination_deg is None, "no magnetic model covers that day"


def test_windows_with_the_sun_near_the_cameras_line_are_known(
    notebook: Notebook, whole: ReturnPage
) -> None:
    side = whole.subjects[0]
    assert not any(side.sun_near_line), "45° off the line and more"
    with notebook.writing():
        wish = WantedLight(delta_deg=(0.0, 45.0), direct_sun=True)
        update_subject(notebook, replace(side.subject, wanted=wish))
    back = gather_page(notebook, ["winding house"], start=START).subjects[0]
    assert len(back.sun_near_line) == len(back.windows)
    assert any(back.sun_near_line)


def test_the_soonest_window_of_all_leads(whole: ReturnPage) -> None:
    every = [window for each in whole.subjects for window in each.windows]
    assert whole.next_light == min(every, key=lambda window: window.start)


def test_where_a_fortnight_has_no_light_the_year_is_searched(notebook: Notebook) -> None:
    with notebook.writing():
        add_subject(
            notebook, Subject(name="sluice", place=place(), wanted=WantedLight(months=(4,)))
        )
        add_subject(
            notebook,
            Subject(name="cave", place=place(), wanted=WantedLight(sun_altitude_deg=(80.0, 90.0))),
        )
    page = gather_page(notebook, [], start=START)
    found = {each.subject.name: each for each in page.subjects}
    assert found["sluice"].windows[0].day.month == 4
    assert found["arch"].looked_until < found["sluice"].looked_until
    assert found["cave"].windows == ()
    assert "80" in found["cave"].no_light


def test_made_and_gone_subjects_stand_on_the_page_without_light(notebook: Notebook) -> None:
    with notebook.writing():
        add_subject(notebook, Subject(name="pump wheel", place=place(), state="gone"))
    page = gather_page(notebook, [], start=START)
    wheel = next(each for each in page.subjects if each.subject.name == "pump wheel")
    assert wheel.looked_until is None
    assert wheel.windows == ()


def test_only_ways_near_the_subjects_are_drawn(notebook: Notebook) -> None:
    page = gather_page(notebook, ["arch"], start=START)
    assert [each.track.name for each in page.tracks] == ["near"]
    assert [point.name for point in page.waypoints] == ["near wpt"]
    assert [route.name for route in page.routes] == ["near rte"]


def test_without_subjects_every_walk_is_drawn(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as empty:
        with empty.writing():
            put_walk(empty, "near", LATITUDE, LONGITUDE)
            put_walk(empty, "far", LATITUDE + 3.0, LONGITUDE)
        page = gather_page(empty, [], start=START)
    assert page.subjects == ()
    assert page.next_light is None
    assert {each.track.name for each in page.tracks} == {"near", "far"}


def test_a_silence_inside_a_segment_is_a_break_in_the_line(tmp_path: Path) -> None:
    minutes = np.array([0, 1, 181, 182])
    north = np.array([0.0, 0.0005, 0.05, 0.0505])
    silent = replace(
        segment((LATITUDE + north).tolist(), [LONGITUDE] * 4),
        time=np.datetime64("2026-05-01T10:00", "ms") + minutes * np.timedelta64(1, "m"),
    )
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened:
        with opened.writing():
            put_walk(opened, "silent", LATITUDE, LONGITUDE, silent)
        (walk,) = gather_page(opened, [], start=START).tracks
    assert [len(line) for line in walk.lines] == [2, 2]


@pytest.mark.parametrize("name", ["NULL", "'ARCH '", "x'61e9'", "CAST(x'61e9' AS TEXT)"])
def test_a_subject_whose_name_another_program_changed_keeps_its_light(
    notebook: Notebook, name: str
) -> None:
    with notebook.writing():
        changed = add_subject(notebook, Subject(name="sluice", place=place(LATITUDE + 0.01)))
        notebook.run(f"UPDATE subjects SET name = {name}, uid = NULL WHERE id = {changed.id}")
    page = gather_page(notebook, [], start=START)
    assert len({each.subject.name for each in page.subjects}) == len(page.subjects) == 3
    assert next(each for each in page.subjects if each.subject.id == changed.id).windows
    for each in page.subjects:
        assert {window.subject for window in each.windows} <= {each.subject.name}


def test_a_walk_that_cannot_be_read_is_left_out_and_named(notebook: Notebook) -> None:
    with notebook.writing():
        put_walk(notebook, "broken", LATITUDE, LONGITUDE)
        notebook.run("UPDATE segments SET geom = x'00' WHERE id = (SELECT max(id) FROM segments)")
    page = gather_page(notebook, ["arch"], start=START)
    assert [each.track.name for each in page.tracks] == ["near"]
    (said,) = (line for line in page.assumptions if "not drawn" in line)
    assert said.startswith("track 3 is not drawn: segment")


def test_nearness_works_over_the_antimeridian(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened:
        with opened.writing():
            add_subject(opened, Subject(name="lagoon", place=place(-17.0, 179.9995)))
            put_walk(opened, "across", -17.0, -179.9995)
        page = gather_page(opened, ["lagoon"], start=START)
    assert [each.track.name for each in page.tracks] == ["across"]
    assert len(page.waypoints) == 1


def test_an_unknown_name_is_not_found(notebook: Notebook) -> None:
    with pytest.raises(NotFound):
        gather_page(notebook, ["winding hose"], start=START)


def test_the_first_day_is_read_as_typed(notebook: Notebook) -> None:
    # half past midnight UTC on 26 October is still the 25th in the Azores (UTC−1 from that day)
    now = datetime(2026, 10, 26, 0, 30, tzinfo=UTC)
    assert ask_page(notebook, ["arch"], first=None, now=now).start == date(2026, 10, 25)
    assert ask_page(notebook, ["arch"], first="saturday", now=now).start == date(2026, 10, 31)
    with pytest.raises(BadInput, match="--from"):
        ask_page(notebook, ["arch"], first="some day", now=now)


# ---------------------------------------------------------------- lines

steps = st.lists(
    st.tuples(st.floats(-0.0005, 0.0005), st.floats(-0.0005, 0.0005)), min_size=2, max_size=60
)


@given(steps, st.sampled_from([0.0, 47.0, -80.0]), st.sampled_from([0.0, 179.9999]))
def test_a_drawn_line_keeps_within_its_tolerance(
    walked: list[tuple[float, float]], latitude: float, longitude: float
) -> None:
    north = latitude + np.cumsum([step[0] for step in walked])
    east = longitude + np.cumsum([step[1] for step in walked])
    wrapped = (east + 180.0) % 360.0 - 180.0
    line = simplify(segment(north.tolist(), wrapped.tolist()), 4.0)
    scale = np.array([111_195.0 * np.cos(np.radians(latitude)), 111_195.0])
    shift = 360.0 * round((line[0][1] - east[0]) / 360.0)
    drawn = shapely.LineString([(lon - shift, lat) * scale for lat, lon in line])
    fixes = shapely.points(np.column_stack([east, north]) * scale)
    assert shapely.distance(drawn, fixes).max() <= 4.0 + 0.2, "0.1 m a coordinate is rounded away"
    assert len(line) <= len(walked)


def test_a_straight_walk_needs_two_fixes_and_a_lost_fix_none() -> None:
    along = [LATITUDE + 1e-5 * i for i in range(500)]
    assert len(simplify(segment(along, [LONGITUDE] * 500), 4.0)) == 2
    assert simplify(segment([np.nan], [LONGITUDE]), 4.0) == ()
    assert len(simplify(segment([LATITUDE, np.nan], [LONGITUDE, 0.0]), 4.0)) == 1


def test_breaks_in_a_recording_stay_breaks(notebook: Notebook) -> None:
    two = segment([LATITUDE, LATITUDE + 0.001], [LONGITUDE, LONGITUDE])
    with notebook.writing():
        original = store_original(
            notebook, Original(sha256="b" * 64, file_name="b.gpx", media="gpx", content=b"<gpx/>")
        )
        store_track(notebook, original, Track(name="b", segments=(two, two)), summary())
    page = gather_page(notebook, ["arch"], start=START)
    drawn = next(each for each in page.tracks if each.track.name == "b")
    assert len(drawn.lines) == 2


def test_a_flood_of_fixes_is_drawn_coarser_and_says_so(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("backbearing.plans.drawnways.MOST_DRAWN_FIXES", 3)
    rng = np.random.default_rng(1)
    wild = segment(
        (LATITUDE + 1e-4 * rng.standard_normal(200)).tolist(),
        (LONGITUDE + 1e-4 * rng.standard_normal(200)).tolist(),
    )
    with notebook.writing():
        original = store_original(
            notebook, Original(sha256="c" * 64, file_name="c.gpx", media="gpx", content=b"<gpx/>")
        )
        store_track(notebook, original, Track(name="c", segments=(wild,)), summary(points=200))
    page = gather_page(notebook, ["arch"], start=START)
    assert page.simplified_to_m > 4.0


def test_today_starts_now_and_an_empty_notebook_makes_no_page(
    notebook: Notebook, tmp_path: Path
) -> None:
    noon = datetime(2026, 10, 12, 13, 20, 40, tzinfo=UTC)
    late = ask_page(notebook, ["winding house"], first=None, now=noon)
    assert late.earliest_at == noon.replace(second=0)
    assert all(window.end > noon for window in late.subjects[0].windows)
    other = ask_page(notebook, ["winding house"], first="2026-10-13", now=noon)
    assert other.earliest_at is None
    with (
        open_notebook(tmp_path / "empty.gpkg", create=True) as empty,
        pytest.raises(NotFound, match="nothing is on record"),
    ):
        ask_page(empty, [], first=None, now=noon)
