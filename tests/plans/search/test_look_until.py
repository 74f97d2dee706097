"""The one sentence of `likely`: what to look through, until when, and where to go then."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from tests.plans.search.test_search_walk import lost, put_start
from tests.plans.test_approach import bare, level, line
from tests.plans.test_approach_passages import passage

from backbearing.errors import BadInput, NotFound
from backbearing.notebook import Notebook
from backbearing.notebook.lines import add_passage, store_line
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject
from backbearing.plans.search import where_likely
from backbearing.plans.search.askedwalk import ask_search
from backbearing.plans.search.likelihood import Likely
from backbearing.plans.search.lookuntil import NO_START, LookUntil, with_until
from backbearing.plans.wishes import store_wish
from backbearing.records import Place, Subject
from backbearing.writers.search import likely_text

__all__ = ["bare", "level"]  # fixtures

NOW = datetime(2026, 7, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def ground(level: Notebook) -> Notebook:
    put_start(level)
    lost(level, "hut", 400.0, 100.0, 100.0)
    lost(level, "arch", 0.0, 200.0, 5.0)
    store_wish(level, "hut", {"earliest": "8:00", "latest": "11:00", "sun_altitude_deg": "5-80"})
    store_wish(level, "arch", {"earliest": "10:00", "latest": "12:00", "sun_altitude_deg": "5-80"})
    store_wish(level, "jetty", {"sun_altitude_deg": "89-90"})
    return level


def ask(notebook: Notebook, *, now: datetime = NOW, **typed: Any) -> Likely:
    return with_until(notebook, where_likely(notebook, "hut"), now=now, **typed)


def until_of(answer: Likely) -> LookUntil:
    assert answer.until is not None, answer.until_why
    return answer.until


def test_the_sentence_says_until_when_and_where_to_go_then(ground: Notebook) -> None:
    answer = ask(ground, start="jetty")
    found = until_of(answer)
    assert re.fullmatch(
        r"not yet looked at: .+ \(\d+ %\), \d+ min; look until \d\d:\d\d on 2026-07-02, "
        r"then go to arch\.",
        answer.answer,
    )
    # today's light is over: the next day with the light wished; 25 min to set up, 1 to expose
    assert found.find_by is not None
    assert found.find_by <= datetime(2026, 7, 2, 10, 34, tzinfo=UTC)
    assert found.then is not None
    assert found.until == min(found.find_by, found.then.leave_by)
    assert found.arrive + timedelta(minutes=5) <= found.until
    assert found.then.walk_s > 300.0


def test_on_the_day_itself_it_names_no_day(ground: Notebook) -> None:
    answer = ask(ground, start="jetty", now=datetime(2026, 7, 2, 8, 30, tzinfo=UTC))
    assert re.search(r"; look until \d\d:\d\d, then go to arch\.$", answer.answer)
    assert until_of(answer).arrive > datetime(2026, 7, 2, 8, 40, tzinfo=UTC)


def test_the_fallback_is_left_for_in_its_own_light(ground: Notebook) -> None:
    store_wish(ground, "arch", {"earliest": "8:00", "latest": "10:00"})
    found = until_of(ask(ground, start="jetty", day="2026-07-02"))
    assert found.then is not None
    assert found.find_by is not None
    assert found.until == found.then.leave_by < found.find_by


def test_without_one_in_time_one_goes_home(ground: Notebook) -> None:
    store_wish(ground, "arch", {"sun_altitude_deg": "89-90"})
    answer = ask(ground, start="jetty")
    assert until_of(answer).then is None
    assert answer.answer.endswith(", then go home.")


def test_the_limit_ends_it(ground: Notebook) -> None:
    asked: dict[str, Any] = {"start": "jetty", "day": "2026-07-02"}
    late, early = (until_of(ask(ground, back_by=at, **asked)) for at in ("14:00", "10:30"))
    assert early.until < late.until
    # half an hour in hand, the way home, and time to expose and pack
    assert early.until < datetime(2026, 7, 2, 9, 30, tzinfo=UTC)
    answer = ask(ground, back_by="6:00", **asked)
    assert answer.until is None
    assert "no time to look on 2026-07-02" in answer.until_why
    with pytest.raises(BadInput, match="teatime"):
        ask(ground, back_by="teatime", **asked)


def test_the_setting_is_the_start_and_without_one_it_is_said_once(ground: Notebook) -> None:
    answer = ask(ground)
    assert answer.until is None
    assert answer.until_why == NO_START
    assert "look until" not in answer.answer
    assert likely_text(answer).count("setting start") == 1
    with ground.writing():
        set_setting(ground, "start", "jetty")
    again = ask(ground)
    assert until_of(again).start_name == "jetty"
    assert "on foot" in likely_text(again)


def test_found_or_out_of_reach_it_is_not_said(ground: Notebook) -> None:
    answer = where_likely(ground, "hut")
    assert with_until(ground, replace(answer, stretches=()), now=NOW).until_why == ""
    assert "cannot be said" in ask(ground, start="48.5 N 21.0 W").until_why


def test_what_was_not_typed_never_keeps_the_shares_back(ground: Notebook) -> None:
    with ground.writing():
        set_setting(ground, "start", "nowhere at all")
    answer = ask(ground)
    assert answer.until is None
    assert answer.until_why.startswith("until when to look cannot be said: ")
    assert "nowhere at all" in answer.until_why
    with pytest.raises(NotFound, match="nowhere at all"):
        ask(ground, start="nowhere at all")


def test_a_day_without_light_is_a_remark(level: Notebook) -> None:
    north = Place(latitude_deg=78.2, longitude_deg=15.6, error_m=100.0, error_basis="given")
    with level.writing():
        add_subject(level, Subject(name="ice hut", place=north))
    answer = with_until(
        level,
        where_likely(level, "ice hut", within_m=150.0),
        now=datetime(2026, 11, 25, 12, 0, tzinfo=UTC),
        start="78.2 N 15.61 E",
    )
    assert answer.until is None
    assert answer.until_why.startswith("until when to look cannot be said: ")
    assert answer.share.sum() > 0.8


def test_a_day_that_is_over_is_refused(ground: Notebook) -> None:
    with pytest.raises(BadInput, match="2026-06-30 is over"):
        ask(ground, start="jetty", day="2026-06-30")
    assert until_of(ask(ground, start="jetty", day="2026-07-02")).day.isoformat() == "2026-07-02"


@pytest.mark.parametrize("ends_m", [4000.0, 500.0])
def test_the_way_knows_a_doubtful_passage(ground: Notebook, ends_m: float) -> None:
    free = until_of(ask(ground, start="jetty", day="2026-07-02"))
    with ground.writing():
        store_line(ground, None, line("wall", "old wall", (-200.0, -ends_m), (-200.0, ends_m)))
        add_passage(
            ground, passage("wall hole", "looked blocked", "windfall", east_m=-200.0, kind="gap")
        )
    answer = ask(ground, start="jetty", day="2026-07-02")
    found = until_of(answer)
    assert found.passage == "wall hole"
    assert found.passage_chance is not None
    if ends_m > 1000.0:  # no way round
        assert found.dearer_s is None
        assert found.walk_s == pytest.approx(free.walk_s, rel=0.1)
        assert "that is by wall hole, chance open" in likely_text(answer)
    else:
        assert found.dearer_s is not None
        assert found.dearer_s > 60.0
        assert found.walk_s > free.walk_s + 30.0
        assert "less there and back by wall hole" in likely_text(answer)


def test_it_must_be_found_by_when_search_says(ground: Notebook) -> None:
    found = until_of(ask(ground, start="jetty", day="2026-07-02"))
    walk, _ = ask_search(ground, "hut", now=NOW, span="2h", start="jetty", day="2026-07-02")
    assert found.find_by is not None
    assert walk.give_up is not None
    assert abs(found.find_by - walk.give_up.found_by) <= timedelta(minutes=1)
