"""The next walk of a search over made ground: its limits are kept, no passage ends the ground."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from tests.plans.test_approach import bare, level, line, place, put_ground
from tests.plans.test_approach_passages import passage

from backbearing.errors import BadInput
from backbearing.notebook import Notebook
from backbearing.notebook.lines import add_passage, store_line
from backbearing.notebook.search import add_clue
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject, find_subject
from backbearing.plans.search.askedwalk import ask_search
from backbearing.plans.search.likelihood import Likely
from backbearing.plans.search.walkanswer import SearchStop, SearchWalkAnswer
from backbearing.plans.wishes import store_wish
from backbearing.records import MemoryClue, Subject
from backbearing.writers.search import likely_text
from backbearing.writers.searchgpx import search_gpx
from backbearing.writers.searchwalk import search_walk_text, until_text
from backbearing.writers.sheet import search_sheet_html

__all__ = ["bare", "level"]  # fixtures

NOW = datetime(2026, 7, 1, 8, 0, 30, tzinfo=UTC)


def lost(notebook: Notebook, name: str, east_m: float, north_m: float, error_m: float) -> None:
    at = replace(place(east_m, north_m), error_m=error_m)
    with notebook.writing():
        set_setting(notebook, "zone", "UTC")
        add_subject(notebook, Subject(name=name, place=at))


def put_start(notebook: Notebook) -> None:
    lost(notebook, "jetty", -600.0, 0.0, 5.0)


def asked(notebook: Notebook, span: str = "3h", **typed: object) -> tuple[SearchWalkAnswer, Likely]:
    told: dict[str, object] = {"start": "jetty", "pace": "DIN 33466", "day": "2026-07-02"}
    told |= {"leave": "9:00", "within": "250 m"}
    return ask_search(notebook, "hut", now=NOW, span=span, **(told | typed))  # type: ignore[arg-type]


def ask(notebook: Notebook, span: str = "3h", **typed: object) -> SearchWalkAnswer:
    return asked(notebook, span, **typed)[0]


def stops_of(answer: SearchWalkAnswer) -> list[tuple[SearchStop, ...]]:
    """The rows of stops that may be walked, each from the start on."""
    if answer.trying is None:
        return [answer.stops]
    return [answer.stops + each.stops for each in (answer.trying.if_open, answer.trying.if_shut)]


def backs_of(answer: SearchWalkAnswer) -> list[datetime]:
    if answer.trying is None:
        assert answer.home is not None
        return [answer.home.back]
    return [answer.trying.if_open.back, answer.trying.if_shut.back]


@pytest.fixture
def open_ground(level: Notebook) -> Notebook:
    put_start(level)
    lost(level, "hut", 400.0, 100.0, 150.0)
    return level


@pytest.fixture
def walled(level: Notebook) -> Notebook:
    """A wall from edge to edge, with a gap that looked blocked; the hut is most likely beyond."""
    put_start(level)
    lost(level, "hut", 400.0, 0.0, 150.0)
    with level.writing():
        store_line(level, None, line("wall", "old wall", (0.0, -4000.0), (0.0, 4000.0)))
        add_passage(
            level, passage("wall hole", "looked blocked", "windfall", north_m=0.0, kind="gap")
        )
    return level


@pytest.mark.parametrize("span", ["1h20", "2h30", "4h"])
def test_it_is_over_in_time_and_adds_up(open_ground: Notebook, span: str) -> None:
    answer = ask(open_ground, span)
    assert answer.trying is None
    assert answer.leave == datetime(2026, 7, 2, 9, 0, tzinfo=UTC)
    assert answer.limited_by == "the time given"
    assert backs_of(answer)[0] <= answer.back_limit
    at = answer.leave
    for stop in answer.stops:
        assert stop.arrive - at == pytest.approx(timedelta(seconds=stop.walk_s), abs=SECOND)
        assert stop.leave - stop.arrive == pytest.approx(timedelta(seconds=stop.look_s), abs=SECOND)
        at = stop.leave
    assert sum(stop.share * stop.chance_seen for stop in answer.stops) == pytest.approx(
        answer.chance
    )
    assert answer.stops[-1].chance_so_far == pytest.approx(answer.chance)
    assert answer.curve[-1].chance == pytest.approx(answer.chance, abs=1e-5)
    assert answer.here + answer.elsewhere + answer.gone == pytest.approx(1.0)
    assert answer.chance >= answer.even_chance


SECOND = timedelta(seconds=2)


def test_more_time_finds_more(open_ground: Notebook) -> None:
    found = [ask(open_ground, span).chance for span in ("1h20", "2h", "3h", "5h")]
    assert found == sorted(found)


def test_the_limit_is_kept_with_half_an_hour_in_hand(open_ground: Notebook) -> None:
    answer = ask(open_ground, "5h", back_by="12:00")
    assert answer.limited_by == "the limit given"
    assert answer.back_limit == datetime(2026, 7, 2, 11, 30, tzinfo=UTC) - timedelta(
        seconds=answer.kept_s
    )
    assert backs_of(answer)[0] <= answer.back_limit


def test_it_is_over_before_the_light_is(open_ground: Notebook) -> None:
    answer = ask(open_ground, "8h", leave="18:00")
    assert answer.limited_by == "usable light"
    # 47° N 21° W on 2 July: civil dusk is at about 21:58 UTC by the flat horizon
    home_by = answer.back_limit + timedelta(seconds=answer.kept_s)
    assert (
        datetime(2026, 7, 2, 21, 0, tzinfo=UTC) < home_by < datetime(2026, 7, 2, 22, 0, tzinfo=UTC)
    )
    assert backs_of(answer)[0] <= answer.back_limit
    with pytest.raises(BadInput, match="no time is left"):
        ask(open_ground, "2h", leave="21:30")


def test_a_gap_that_only_looked_blocked_is_tried(walled: Notebook) -> None:
    answer = ask(walled)
    trying = answer.trying
    assert trying is not None
    assert trying.name == "wall hole"
    assert 0.2 < trying.chance_open < 0.5
    assert "looked blocked" in trying.last_found
    assert answer.chance_without_trying is not None
    assert answer.chance > answer.chance_without_trying
    beyond = place(0.0, 0.0).longitude_deg
    assert any(stop.longitude_deg > beyond for stop in trying.if_open.stops)
    assert all(stop.longitude_deg < beyond for stop in trying.if_shut.stops)
    for back in backs_of(answer):
        assert back <= answer.back_limit
    found = sum(stop.share * stop.chance_seen for stop in answer.stops)
    for chance, branch in (
        (trying.chance_open, trying.if_open),
        (1.0 - trying.chance_open, trying.if_shut),
    ):
        found += chance * branch.chance
    assert answer.chance == pytest.approx(found, abs=1e-6)
    assert answer.curve[-1].chance == pytest.approx(answer.chance, abs=1e-5)
    text = search_walk_text(answer)
    assert "Go and see wall hole" in text
    assert "If it is open:" in text


def test_a_wall_without_a_gap_leaves_nothing_in_reach(level: Notebook) -> None:
    put_start(level)
    lost(level, "hut", 400.0, 0.0, 100.0)
    with level.writing():
        store_line(level, None, line("wall", "old wall", (0.0, -4000.0), (0.0, 4000.0)))
    with pytest.raises(BadInput, match="no likely ground"):
        ask(level)


def test_along_a_line_stretches_are_named(open_ground: Notebook) -> None:
    with open_ground.writing():
        store_line(open_ground, None, line("stream", "beck", (100.0, 400.0), (700.0, -300.0)))
    answer, likely = asked(open_ground, along="beck", within=None)
    names = [stop.name for row in stops_of(answer) for stop in row]
    # the same ground is called by the same chainage wherever it is told
    told = re.compile(r"(left|right) side (\d+)–(\d+) m (.+)")
    ends = [match.groups() for match in map(told.fullmatch, names) if match]
    assert len(ends) == len(names)
    (best,) = [match.groups() for match in [told.fullmatch(likely.stretches[0].words)] if match]
    assert {end[3] for end in ends} == {best[3]}
    assert any(
        end[0] == best[0] and int(end[1]) < int(best[2]) and int(best[1]) < int(end[2])
        for end in ends
    )
    assert names[0] in search_walk_text(answer)


def test_when_to_give_up_and_where_to_go(open_ground: Notebook) -> None:
    lost(open_ground, "arch", 0.0, 200.0, 5.0)
    answer = ask(open_ground, exposure="2min", set_up="20min", plates=2)
    assert answer.give_up is not None
    found = answer.give_up
    closes = found.window.end - timedelta(minutes=found.window.plus_minus_min)
    # set-up with the first plate's handling, two exposures and five minutes between them
    assert closes - found.found_by == pytest.approx(timedelta(minutes=25 + 2 + 5 + 2), abs=SECOND)
    assert answer.fallback is not None
    assert answer.fallback.subject in ("arch", "jetty")
    assert answer.look_until is not None
    assert answer.look_until <= answer.fallback.leave_by
    assert "go to" in until_text(answer)
    for row in stops_of(answer):
        for stop in row:
            assert stop.expose_by is not None
            assert stop.expose_by >= found.found_by  # that one goes by the longest way home
            assert stop.too_late == (stop.arrive > stop.expose_by)


@pytest.mark.parametrize("asked", [{"leave": None}, {"leave": "9:00"}, {"leave": "8:00"}])
def test_a_find_at_any_place_can_be_exposed_and_brought_home(
    walled: Notebook, asked: dict[str, str | None]
) -> None:
    store_wish(walled, "hut", {"sun_altitude_deg": "5-80"})
    answer = ask(walled, "2h30", back_by="12:00", exposure="2min", **asked)
    home_by = datetime(2026, 7, 2, 11, 30, tzinfo=UTC)
    busy = timedelta(minutes=25 + 2)
    assert answer.kept_s == pytest.approx(60 * (25 + 2 + 10))
    assert answer.back_limit + timedelta(seconds=answer.kept_s) <= home_by + SECOND
    assert any("kept before dark and the limit" in words for words in answer.rests_on)
    for row in stops_of(answer):
        for stop in row:
            assert not stop.too_late
            assert stop.expose_by is not None
            assert stop.leave <= stop.expose_by + SECOND
            packed = stop.leave + busy + timedelta(minutes=10)
            assert packed + timedelta(seconds=stop.home_s) <= home_by + SECOND
    assert answer.back_if_found is not None
    assert max(backs_of(answer)) < answer.back_if_found <= home_by + SECOND
    assert "too late to expose" not in search_walk_text(answer)
    assert "set up, exposed and packed, it is back by" in search_walk_text(answer)


def test_places_reached_after_the_light_wished_are_marked(open_ground: Notebook) -> None:
    store_wish(open_ground, "hut", {"latest": "11:00"})
    answer = ask(open_ground, "4h")
    late = [stop for stop in answer.stops if stop.too_late]
    assert late
    assert all(stop.expose_by is not None for stop in answer.stops)
    cut = [s for s in answer.stops if not s.too_late and s.expose_by and s.leave > s.expose_by]
    text = search_walk_text(answer)
    assert text.count("too late to expose") == len(late)
    assert text.count("to expose, find it by") == len(cut)
    assert answer.back_limit == answer.leave + timedelta(hours=4)  # nothing is kept in vain


def test_light_that_comes_after_one_must_be_back_is_none(open_ground: Notebook) -> None:
    """The evening's light does not make a morning's find one that can be exposed."""
    store_wish(open_ground, "hut", {"earliest": "18:00"})
    assert ask(open_ground, "3h").give_up is not None
    answer = ask(open_ground, "3h", back_by="12:30")
    assert answer.give_up is None
    assert answer.back_if_found is None


def test_without_light_as_wished_nothing_is_kept_for_it(open_ground: Notebook) -> None:
    store_wish(open_ground, "hut", {"latest": "9:05"})
    answer = ask(open_ground, "5h", back_by="12:00")
    assert answer.give_up is None
    assert answer.kept_s == 0.0
    assert answer.back_if_found is None
    assert answer.back_limit == datetime(2026, 7, 2, 11, 30, tzinfo=UTC)


def test_the_file_for_a_receiver_has_each_stop(walled: Notebook) -> None:
    import gpxpy

    answer = ask(walled)
    gpx = gpxpy.parse(search_gpx(answer))
    trying = answer.trying
    assert trying is not None
    stops = len(answer.stops) + len(trying.if_open.stops) + len(trying.if_shut.stops)
    assert len(gpx.waypoints) == stops + 1
    assert any("see wall hole" in (point.name or "") for point in gpx.waypoints)
    assert search_gpx(answer) == search_gpx(ask(walled))


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        ({"span": "5min"}, "takes 10 min to"),
        ({"span": "soon"}, "duration|span|time"),
        ({"span": "20min"}, "too far off|no likely ground"),
        ({"range_text": "0 m"}, "above 0"),
        ({"start": "47.2 N 21.0 W"}, "no ground to walk on|too far off"),
    ],
)
def test_what_makes_no_walk_is_refused(
    open_ground: Notebook, asked: dict[str, str], why: str
) -> None:
    with pytest.raises(BadInput, match=why):
        ask(open_ground, **{"span": "3h", **asked})


def test_without_terrain_it_follows_tracks_alone_and_says_so(bare: Notebook) -> None:
    put_start(bare)
    lost(bare, "hut", 400.0, 100.0, 150.0)
    with pytest.raises(BadInput, match="no ground to walk on"):
        ask(bare)


def test_ground_of_hills_is_walked_at_its_slopes(bare: Notebook, tmp_path: Path) -> None:
    row, column = np.mgrid[0:321, 0:321].astype(float)
    put_ground(bare, tmp_path, 100.0 + 30.0 * np.sin(row / 20.0) * np.cos(column / 25.0))
    put_start(bare)
    lost(bare, "hut", 400.0, 100.0, 150.0)
    answer = ask(bare)
    assert answer.stops
    assert backs_of(answer)[0] <= answer.back_limit


def test_terrain_that_is_not_there_is_said_first(open_ground: Notebook, tmp_path: Path) -> None:
    near = tmp_path / "near"
    near.mkdir()
    put_ground(open_ground, near, np.full((321, 321), 101.0))
    with open_ground.writing():
        hut = find_subject(open_ground, "hut")
        told = MemoryClue(
            subject_id=hut.id,
            kind="near a line",
            words="by a beck",
            line="beck",
            high=20.0,
            sure=0.8,
        )
        add_clue(open_ground, told)
    (near / "ground.tif").unlink()
    answer, likely = asked(open_ground)
    assert likely.missing.startswith("Part of the terrain on record is not there (ground.tif)")
    for words in (search_walk_text(answer), likely_text(likely)):
        assert " ".join(words.split()).startswith(likely.missing)
        assert "eft out: " in words
    assert (answer.missing, answer.remarks) == (likely.missing, likely.remarks)
    sheet = search_sheet_html(likely, answer)
    assert sheet.index("Part of the terrain") < sheet.index(">leave<")
    assert "left out: " in sheet
