"""Past walks: the list by day and place, and one walk in full."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest

from backbearing.errors import BadInput, NotFound
from backbearing.models.walk import summarise
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject
from backbearing.notebook.tracks import store_original, store_track
from backbearing.plans.walks import describe_walk, list_walks
from backbearing.records import Original, Place, Segment, Subject, Track

MINUTE = np.timedelta64(60_000, "ms")


def place(latitude_deg: float, longitude_deg: float) -> Place:
    return Place(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, error_m=10.0, error_basis="given"
    )


def northward(start: str, *, latitude: float = 47.0, longitude: float = -21.0) -> Track:
    """An hour north from a place at 1.24 m/s, a fix a minute; without times where start is ''."""
    steps = np.arange(61)
    times = np.datetime64(start or "NaT", "ms") + steps * MINUTE
    return Track(
        name=start or "planned",
        segments=(
            Segment(
                longitude_deg=np.full(61, longitude),
                latitude_deg=latitude + steps * (0.04 / 60),
                height_m=np.full(61, np.nan),
                time=times,
            ),
        ),
    )


def put(notebook: Notebook, *tracks: Track) -> None:
    with notebook.writing():
        for track in tracks:
            name = f"{track.name}.gpx"
            original = Original(sha256=name, file_name=name, media="gpx", content=b"")
            store_track(notebook, store_original(notebook, original), track, summarise(track))


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened:
        with opened.writing():
            set_setting(opened, "zone", "Atlantic/Azores")  # UTC−1 in winter
        put(
            opened,
            northward("2026-03-14T00:30"),  # local 13 March, 23:30
            northward("2025-11-01T10:00", longitude=-21.5),
            northward(""),
        )
        yield opened


def names(notebook: Notebook, **asked: object) -> list[str]:
    return [w.track.name for w in list_walks(notebook, **asked).walks]  # type: ignore[arg-type]


class TestList:
    def test_oldest_first_and_those_without_times_last(self, notebook: Notebook) -> None:
        assert names(notebook) == ["2025-11-01T10:00", "2026-03-14T00:30", "planned"]

    def test_days_are_local_and_both_included(self, notebook: Notebook) -> None:
        night = ["2026-03-14T00:30"]
        assert names(notebook, since=date(2026, 3, 13), until=date(2026, 3, 13)) == night
        assert names(notebook, since=date(2026, 3, 14)) == night  # it ends after local midnight
        assert names(notebook, until=date(2026, 3, 12)) == ["2025-11-01T10:00"]
        assert list_walks(notebook, until=date(2026, 3, 12)).left_out == 2

    def test_days_the_wrong_way_round(self, notebook: Notebook) -> None:
        with pytest.raises(BadInput, match="before"):
            list_walks(notebook, since=date(2026, 3, 14), until=date(2026, 3, 13))

    def test_near_a_place_is_near_the_walks_line(self, notebook: Notebook) -> None:
        beside = place(47.02, -21.0 + 100 / 76_000)
        found = list_walks(notebook, near=beside, within_m=150.0)
        assert [w.track.name for w in found.walks] == ["2026-03-14T00:30", "planned"]
        assert found.walks[0].near_m == pytest.approx(100, rel=0.02)
        assert names(notebook, near=beside, within_m=90.0) == []

    @pytest.mark.parametrize("longitude", [179.999, -179.999])
    def test_near_works_over_the_antimeridian(self, notebook: Notebook, longitude: float) -> None:
        put(notebook, northward("2020-01-01T10:00", latitude=-17.0, longitude=longitude))
        for side in (179.9995, -179.9995):
            assert names(notebook, near=place(-16.99, side)) == ["2020-01-01T10:00"]

    def test_near_works_by_the_pole(self, notebook: Notebook) -> None:
        put(notebook, northward("2020-01-01T10:00", latitude=89.5, longitude=10.0))
        assert names(notebook, near=place(89.52, 10.1)) == ["2020-01-01T10:00"]


class TestOneWalk:
    def test_says_how_its_figures_were_come_by(self, notebook: Notebook) -> None:
        answer = describe_walk(notebook, 1)
        assert answer.zone == "Atlantic/Azores"
        assert answer.track.summary.length_m == pytest.approx(0.04 * 111_171, rel=1e-3)
        assert "10 m" in answer.climb_method
        assert "0.4 m/s" in answer.moving_method
        assert answer.doubts == ("it carries no heights",)

    def test_names_the_subjects_passed_in_order_of_time(self, notebook: Notebook) -> None:
        with notebook.writing():
            for name, latitude, off_m in (
                ("arch", 47.03, 40),
                ("wheel", 47.01, 80),
                ("far", 47.02, 400),
            ):
                add_subject(
                    notebook, Subject(name=name, place=place(latitude, -21 + off_m / 76_000))
                )
        answer = describe_walk(notebook, 1)
        assert [p.name for p in answer.passed] == ["wheel", "arch"]
        wheel = answer.passed[0]
        assert wheel.distance_m == pytest.approx(80, rel=0.02)
        assert wheel.when == datetime(2026, 3, 14, 0, 45, tzinfo=UTC)
        assert len(describe_walk(notebook, 1, within_m=500.0).passed) == 3

    def test_one_without_times_says_so(self, notebook: Notebook) -> None:
        answer = describe_walk(notebook, 3)
        assert answer.track.summary.started is None
        assert answer.stops == ()
        assert "no times" in answer.doubts[0]

    def test_a_clock_that_was_not_set_is_doubted(self, notebook: Notebook) -> None:
        put(notebook, northward("1970-01-01T00:00"))
        assert "1970" in describe_walk(notebook, 4).doubts[0]

    def test_no_such_walk(self, notebook: Notebook) -> None:
        with pytest.raises(NotFound, match="no track 77"):
            describe_walk(notebook, 77)
