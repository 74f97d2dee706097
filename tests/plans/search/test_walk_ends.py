"""When a walk of a search ends: by when to find it, where to go then, by when one is back."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from html import unescape

import pytest
from tests.plans.search.test_search_walk import (
    NOW,
    SECOND,
    ask,
    backs_of,
    bare,
    level,
    lost,
    open_ground,
    stops_of,
    walled,
)

from backbearing.notebook import Notebook
from backbearing.notebook.search import add_clue
from backbearing.notebook.subjects import find_subject
from backbearing.plans.search.afterwards import closes
from backbearing.plans.search.askedwalk import ask_search
from backbearing.plans.wishes import store_wish
from backbearing.records import MemoryClue
from backbearing.writers.searchwalk import give_up_text, last_back, last_find, search_walk_text
from backbearing.writers.sheet import search_sheet_html

__all__ = ["bare", "level", "open_ground", "walled"]  # fixtures


def told_of(notebook: Notebook, name: str) -> None:
    """A clue to a subject: it is looked for."""
    with notebook.writing():
        known = find_subject(notebook, name)
        add_clue(
            notebook,
            MemoryClue(
                subject_id=known.id,
                kind="near a line",
                words="by a beck",
                line="beck",
                high=20.0,
                sure=0.8,
            ),
        )


def test_the_way_home_through_a_doubtful_passage_counts(walled: Notebook) -> None:
    store_wish(walled, "hut", {"sun_altitude_deg": "5-80"})
    lost(walled, "arch", -500.0, 200.0, 5.0)
    store_wish(walled, "arch", {"sun_altitude_deg": "5-80"})
    answer = ask(walled, "2h30", back_by="12:00", exposure="2min")
    assert answer.trying is not None
    beyond = answer.trying.if_open.stops
    assert beyond
    assert answer.give_up is not None
    longest = max(stop.home_s for row in stops_of(answer) for stop in row)
    assert longest == max(stop.home_s for stop in beyond)
    packed = answer.give_up.found_by + timedelta(minutes=25 + 2 + 10)
    assert packed + timedelta(seconds=longest) <= datetime(2026, 7, 2, 11, 30, tzinfo=UTC) + SECOND
    assert answer.fallback is not None
    assert answer.fallback.walk_s > max(stop.home_s for stop in beyond) * 0.7


def test_one_does_not_go_to_what_is_itself_looked_for(open_ground: Notebook) -> None:
    lost(open_ground, "arch", 0.0, 200.0, 5.0)
    told_of(open_ground, "arch")
    lost(open_ground, "somewhere", 50.0, 200.0, 120.0)  # farther off than one sees it
    answer = ask(open_ground)
    assert answer.fallback is not None
    assert answer.fallback.subject == "jetty"
    told_of(open_ground, "jetty")
    assert ask(open_ground).fallback is None


@pytest.mark.parametrize("latest", ["18:00", "11:00"])
def test_the_sheet_tells_the_same_clock_as_the_text(open_ground: Notebook, latest: str) -> None:
    lost(open_ground, "arch", 0.0, 200.0, 5.0)
    store_wish(open_ground, "hut", {"latest": latest})
    answer, likely = ask_search(
        open_ground,
        "hut",
        now=NOW,
        span="3h",
        start="jetty",
        pace="DIN 33466",
        day="2026-07-02",
        leave="9:00",
        within="250 m",
    )
    found = re.search(r'<div class="six">(.*?)</div></div>', search_sheet_html(likely, answer))
    assert found is not None
    clock = dict(re.findall(r"<div>([^<]+)<b>([^<]+)</b>", unescape(found[1])))
    times = list(clock.values())
    assert times == sorted(times)
    by = last_find(answer)
    assert by is not None
    assert clock["find it by"] == f"{by:%H:%M}"
    assert clock["find it by"] in give_up_text(answer)
    assert by <= max(stop.leave for stop in answer.stops)
    assert clock["not found, back by"] == f"{last_back(answer):%H:%M}"
    assert last_back(answer) == max(backs_of(answer))
    assert answer.back_if_found is not None
    assert clock["found, back by"] == f"{answer.back_if_found:%H:%M}"
    assert answer.look_until is not None
    assert clock["leave off by"] == f"{answer.look_until:%H:%M}"


def test_more_time_never_photographs_less(open_ground: Notebook) -> None:
    store_wish(open_ground, "hut", {"latest": "10:45"})
    walks = [ask(open_ground, span) for span in ("1h30", "5h")]
    found = [walk.chance_in_time or 0.0 for walk in walks]
    assert 0.0 < found[0] <= found[1] + 1e-9
    longer = walks[1]
    in_time = [stop for stop in longer.stops if not stop.too_late]
    assert in_time
    assert longer.stops[: len(in_time)] == tuple(in_time)  # what is too late comes last
    assert longer.chance > found[1] + 0.01
    assert sum(stop.share * stop.chance_seen for stop in longer.stops) == pytest.approx(
        longer.chance
    )
    assert "In time to be exposed it is found with" in search_walk_text(longer)
    assert longer.give_up is not None
    for stop in in_time:
        assert stop.expose_by is not None
        assert longer.give_up.found_by <= stop.expose_by


def test_the_even_sweep_may_try_the_passage_too(walled: Notebook) -> None:
    answer = ask(walled)
    assert answer.trying is not None
    assert 0.0 < answer.even_chance <= answer.chance
    assert "the passage tried where that finds more" in " ".join(search_walk_text(answer).split())
    assert answer.chance_without_trying is not None
    assert answer.even_chance > answer.chance_without_trying / 2.0


def test_a_closing_by_the_clock_is_the_same_whenever_one_leaves(open_ground: Notebook) -> None:
    store_wish(open_ground, "hut", {"sun_altitude_deg": "20-80", "latest": "12:00"})
    before, within = (ask(open_ground, "1h30", leave=each) for each in ("6:00", "9:30"))
    assert before.give_up is not None
    assert within.give_up is not None
    assert before.give_up.window.start < within.leave  # the window is open already
    assert within.give_up.window.start == within.leave
    assert closes(within.give_up.window) == closes(before.give_up.window)
