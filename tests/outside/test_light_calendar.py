"""The light calendar's edges against astral's sunrise and sunset, on a flat horizon.

astral (a declared dependency, its own sun algorithm) takes the upper limb at 0.833° under the
horizon, the almanacs' usual figure (34' of refraction and 16' of semidiameter).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from astral import Observer
from astral.sun import dawn, dusk, sunrise, sunset

from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.plans.lightcalendar import CalendarDay, LightCalendar, light_calendar
from backbearing.records import Place, Subject

START = date(2026, 11, 28)


def calendar_at(folder: Path, latitude_deg: float) -> LightCalendar:
    place = Place(
        latitude_deg=latitude_deg,
        longitude_deg=0.0,
        height_m=0.0,
        error_m=10.0,
        error_basis="given",
        source="the test",
    )
    with open_notebook(folder / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            subject = add_subject(notebook, Subject(name="post", place=place))
        return light_calendar(notebook, subject, "UTC", start=START)


def edge(day: CalendarDay, tones: set[str], *, last: bool = False) -> datetime | None:
    """The clock at which light of these tones begins, or ends."""
    at = [b if last else a for a, b, tone in day.tones if tone in tones]
    if not at:
        return None
    midnight = datetime(day.day.year, day.day.month, day.day.day, tzinfo=UTC)
    return midnight + timedelta(minutes=max(at) if last else min(at))


@pytest.mark.parametrize(
    ("latitude_deg", "within_min"),
    [(0.0, 1.0), (-35.0, 1.0), (47.0, 1.0), (60.0, 1.0), (66.0, 2.0)],
)
def test_sun_comes_and_goes_when_astral_says(
    tmp_path: Path, latitude_deg: float, within_min: float
) -> None:
    """Within a minute of the clock, to which both are rounded; two near the polar circle."""
    slack = timedelta(minutes=within_min, seconds=30)  # the calendar rounds to a minute
    where = Observer(latitude=latitude_deg, longitude=0.0, elevation=0.0)
    held = calendar_at(tmp_path, latitude_deg)
    compared = 0
    for day in held.weeks:
        try:
            up, down = sunrise(where, day.day), sunset(where, day.day)
        except ValueError:  # the sun does not cross the horizon that day
            continue
        if up.date() != day.day or down.date() != day.day:
            continue
        if not timedelta(hours=2) < down - up < timedelta(hours=22):
            continue  # the sun runs along the horizon: astral's own error is minutes there
        first, last = edge(day, {"sun"}), edge(day, {"sun"}, last=True)
        assert first is not None
        assert last is not None
        assert abs(first - up) <= slack, day.day
        assert abs(last - down) <= slack, day.day
        compared += 1
    assert compared > 40


def test_twilight_ends_at_six_degrees(tmp_path: Path) -> None:
    where = Observer(latitude=47.0, longitude=0.0, elevation=0.0)
    for day in calendar_at(tmp_path, 47.0).weeks:
        first, last = edge(day, {"twilight"}), edge(day, {"twilight"}, last=True)
        assert first is not None
        assert last is not None
        assert abs(first - dawn(where, day.day)) < timedelta(minutes=2)
        assert abs(last - dusk(where, day.day)) < timedelta(minutes=2)


def test_a_day_is_whole_and_its_tones_follow_one_another(tmp_path: Path) -> None:
    held = calendar_at(tmp_path, 69.0)  # polar night and midnight sun are days too
    assert len(held.weeks) == 53
    for day in (*held.weeks, *held.near):
        ends = [b for _, b, _ in day.tones]
        starts = [a for a, _, _ in day.tones]
        assert starts[0] == 0
        assert ends[-1] == 1440
        assert starts[1:] == ends[:-1]
    kinds = {tone for day in held.weeks for _, _, tone in day.tones}
    assert kinds == {"night", "twilight", "sun"}
    assert any([tone for _, _, tone in day.tones] == ["sun"] for day in held.weeks)
