"""The light calendar's edges against astral's sunrise and sunset, on a flat horizon.

astral (a declared dependency, its own sun algorithm) takes the upper limb at 0.833° under the
horizon, the almanacs' usual figure (34' of refraction and 16' of semidiameter).
"""

from __future__ import annotations

import json
import re
import string
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from astral import Observer
from astral.sun import dawn, dusk, sunrise, sunset
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.plans.lightcalendar import CalendarDay, LightCalendar, light_calendar
from backbearing.records import Place, Subject, WantedLight

START = date(2026, 11, 28)


def calendar_at(
    folder: Path, latitude_deg: float, *, wanted: WantedLight | None = None
) -> LightCalendar:
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
            subject = add_subject(notebook, Subject(name="post", place=place, wanted=wanted))
        return light_calendar(notebook, subject, "UTC", start=START)


def edge(day: CalendarDay, tones: set[str], *, last: bool = False) -> datetime | None:
    """The clock at which light of these tones begins, or ends."""
    at = [b if last else a for a, b, tone in day.tones if tone in tones]
    if not at:
        return None
    midnight = datetime(day.day.year, day.day.month, day.day.day, tzinfo=UTC)
    return midnight + timedelta(minutes=max(at) if last else min(at))


LATITUDES = {0.0: 1.0, -35.0: 1.0, 47.0: 1.0, 60.0: 1.0, 66.0: 2.0}  # and within how many minutes


def held_to_astral(latitude_deg: float, sun: Iterable[tuple[date, int, int]]) -> int:
    """Compare first and last minute of sun with astral's; how many days could be."""
    # within minutes of the clock, to which both are rounded
    slack = timedelta(minutes=LATITUDES[latitude_deg], seconds=30)
    where = Observer(latitude=latitude_deg, longitude=0.0, elevation=0.0)
    compared = 0
    for day, first, last in sun:
        try:
            up, down = sunrise(where, day), sunset(where, day)
        except ValueError:  # the sun does not cross the horizon that day
            continue
        if up.date() != day or down.date() != day:
            continue
        if not timedelta(hours=2) < down - up < timedelta(hours=22):
            continue  # the sun runs along the horizon: astral's own error is minutes there
        midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
        assert abs(midnight + timedelta(minutes=first) - up) <= slack, day
        assert abs(midnight + timedelta(minutes=last) - down) <= slack, day
        compared += 1
    return compared


@pytest.mark.parametrize("latitude_deg", [0.0, -35.0, 47.0])
def test_sun_comes_and_goes_when_astral_says(tmp_path: Path, latitude_deg: float) -> None:
    """On every day of the year."""
    held = calendar_at(tmp_path, latitude_deg)
    sun = (
        (day.day, min(a for a, _, tone in day.tones if tone == "sun"), max(up))
        for day in held.every
        if (up := [b for _, b, tone in day.tones if tone == "sun"])
    )
    assert held_to_astral(latitude_deg, sun) > 360


def test_so_it_does_in_what_the_page_holds_for_its_script(tmp_path: Path) -> None:
    """Tones are read from the page's file, as the script reads them: five letters a stretch."""
    file, notebook = tmp_path / "page.html", ["--notebook", str(tmp_path / "n.gpkg")]
    places = {"far": 60.0, "farther": 66.0}
    asked = [["mark", name, "--at", f"{at:.6f}, 0.000000"] for name, at in places.items()]
    for words in (["setting", "zone", "UTC"], *asked, ["map", "--from", f"{START}"]):
        out = ["--out", str(file)] if words[0] == "map" else []
        done = CliRunner().invoke(main, [*notebook, *words, *out])
        assert done.exit_code == 0, done.output
    found = re.search(r'id="return-data">(.*?)</script>', file.read_text("utf-8"))
    assert found is not None
    chosen = json.loads(found[1])["chosen"]
    days = [date.fromisoformat(iso) for _, iso in chosen["days"]]
    for subject in chosen["subjects"]:
        sun = []
        for day, text in zip(days, subject["tones"], strict=True):
            stretches = [text[at : at + 5] for at in range(0, len(text), 5)]
            lit = [(number(each[:2]), number(each[2:4])) for each in stretches if each[4] == "3"]
            if lit:
                sun.append((day, min(lit)[0], max(lit)[1]))
        assert held_to_astral(places[subject["name"]], sun) > 300


def number(pair: str) -> int:
    """What two letters of the page's tables stand for."""
    letters = string.ascii_uppercase + string.ascii_lowercase + string.digits + "-_"
    return letters.index(pair[0]) * 64 + letters.index(pair[1])


def test_no_good_light_with_sun_outlasts_the_sun(tmp_path: Path) -> None:
    """Near the polar circle a hundredth of a degree is minutes: all goes by one upper limb."""
    held = calendar_at(tmp_path, 69.3, wanted=WantedLight(direct_sun=True))
    assert held.good_days > 300
    for day in held.every:
        sun = [(a, b) for a, b, tone in day.tones if tone == "sun"]
        for window in day.windows:
            first, last = (at.hour * 60 + at.minute for at in (window.start, window.end))
            last = last or 1440
            assert any(a - 1 <= first and last <= b + 1 for a, b in sun), day.day


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
