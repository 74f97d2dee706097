"""The next walk of a search on the page: every stop, clock and chance of the plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from math import hypot
from xml.etree import ElementTree

from tests.writers.return_pages import LATITUDE, LONGITUDE, quarry_page, quarry_subject

from backbearing.plans.search.walkanswer import (
    Branch,
    CurvePoint,
    SearchStop,
    SearchWalkAnswer,
    Trying,
)
from backbearing.plans.searchlines import numbered_stops, walk_lines
from backbearing.records import Passage, PassageReport
from backbearing.writers.page import render_page
from backbearing.writers.page.chart import passage_labels, whole_map
from backbearing.writers.page.lines import ways_of
from backbearing.writers.page.plane import sheet_over
from backbearing.writers.page.searchwalk import draw_walk, stop_marks, walk_words

DAY = date(2026, 10, 18)
BEGIN = datetime(2026, 10, 18, 9, 0, tzinfo=UTC)


def spot(north_m: float) -> tuple[float, float]:
    return LATITUDE + north_m / 111_195, LONGITUDE


def stop(number: int) -> SearchStop:
    arrive = BEGIN + timedelta(minutes=30 * number)
    return SearchStop(
        name=f"bank {number}",
        latitude_deg=spot(number * 600.0)[0],
        longitude_deg=LONGITUDE,
        share=0.1 * number,
        walk_s=900.0,
        arrive=arrive,
        look_s=600.0,
        leave=arrive + timedelta(minutes=10),
        chance_seen=0.7,
        chance_so_far=0.05 * number,
        home_s=1200.0,
        expose_by=BEGIN + timedelta(minutes=85),
        too_late=number == 3,
        way=(spot((number - 1) * 600.0), spot(number * 600.0)),
    )


def branch(*stops: SearchStop) -> Branch:
    return Branch(
        stops=stops,
        chance=0.2,
        home_s=1200.0,
        back=BEGIN + timedelta(hours=3),
        way_home=(spot(180.0), spot(0.0)),
    )


TRYING = SearchWalkAnswer(
    subject="Winding house",
    zone="UTC",
    day=DAY,
    start_name="jetty",
    leave=BEGIN,
    back_limit=BEGIN + timedelta(hours=4),
    limited_by="the time given",
    kept_s=0.0,
    back_if_found=None,
    chance=0.31,
    chance_in_time=None,
    chance_without_trying=0.12,
    even_chance=0.2,
    here=0.8,
    elsewhere=0.1,
    gone=0.1,
    not_reached=0.2,
    stops=(stop(1),),
    trying=Trying(
        name="wall hole",
        kind="gap",
        chance_open=0.4,
        last_found="looked blocked",
        at=BEGIN + timedelta(minutes=50),
        walk_s=300.0,
        way=(spot(60.0), spot(90.0)),
        if_open=branch(stop(2)),
        if_shut=branch(stop(3)),
    ),
    home=None,
    curve=(CurvePoint(at=BEGIN, chance=0.0), CurvePoint(at=BEGIN, chance=0.31)),
    give_up=None,
    fallback=None,
    look_until=None,
    chance_by_then=None,
    range_m=15.0,
    sweep_m=24.0,
    places=9,
    missing="",
    remarks=(),
    rests_on=("memory",),
    cautions=("Cells hide steps.",),
)
PLAIN = replace(TRYING, trying=None, chance_without_trying=None, home=branch())


def test_each_stop_has_one_number_whatever_the_passage_is() -> None:
    assert [(n, s.name) for n, s in numbered_stops(TRYING)] == [
        (1, "bank 1"),
        (2, "bank 2"),
        (3, "bank 3"),
    ]
    assert len(walk_lines(TRYING)) == 3 + 1 + 2  # to each stop, to the passage, home from either
    assert len(walk_lines(PLAIN)) == 2
    tried_first = replace(TRYING, stops=())
    assert TRYING.trying is not None
    assert walk_lines(tried_first)[0] == TRYING.trying.way, "the way from the start comes first"


def test_the_words_are_those_of_the_plan() -> None:
    words = walk_words(TRYING)
    assert words.answer == (
        "Sun 18 Oct 2026: leave jetty 09:00, back by 12:00 at the slow pace; it finds Winding "
        "house with a chance of 31 %."
    )
    first, if_open, if_shut = words.parts
    assert "go and see wall hole" in first.after
    assert "chance open 40 %" in first.after
    assert (if_open.before, if_shut.before) == ("If wall hole is open", "If wall hole is shut")
    assert if_open.stops[0][:7] == ("2", "bank 2", "15 min", "10:00", "10 min", "10:10", "20 %")
    assert if_shut.stops[0][1] == "bank 3; too late to expose"
    assert "back, at jetty by 12:00" in walk_words(PLAIN).parts[0].after
    assert any("not a proven optimum" in each for each in words.says)


def test_a_stop_of_another_day_carries_its_day() -> None:
    late = replace(stop(1), arrive=BEGIN + timedelta(days=1))
    (part,) = walk_words(replace(PLAIN, stops=(late,))).parts
    assert part.stops[0][3] == "Mon 09:00"


def test_the_maps_hold_its_way_and_stops() -> None:
    page = quarry_page(quarry_subject())
    shown = render_page(replace(page, search_walks=(TRYING,)))
    assert "next walk for" not in render_page(page)
    assert shown.count("next walk for Winding house") == len(walk_lines(TRYING))
    for name, says, _, _ in stop_marks(TRYING):
        assert f">{name}</text>" in shown  # on the drawing, which reads with scripts off
        assert says in shown  # in what the sliding map tells


def test_no_stop_lies_on_the_scale_or_the_north_arrow() -> None:
    """A disc whose place lies under one of these is set beside it, with a line to its place."""
    sheet = sheet_over(
        [spot(0.0), spot(700.0)], width=360.0, height=270.0, margin=16.0, least_m=1.0
    )
    for corner in ((340.0, 24.0), (310.0, 24.0), (18.0, 24.0)):
        latitude, longitude = sheet.spot(corner)
        at_corner = replace(stop(1), latitude_deg=latitude, longitude_deg=longitude)
        svg = ElementTree.Element("svg")
        draw_walk(svg, sheet, replace(PLAIN, stops=(at_corner,)))
        disc = next(each for each in svg if each.get("class") == "camera")
        away = hypot(float(disc.get("cx", "")) - corner[0], float(disc.get("cy", "")) - corner[1])
        assert away > 18.0
        assert any(each.get("class") == "sight" for each in svg)


def test_a_stop_without_room_for_its_number_is_told_of_under_the_drawing() -> None:
    """Many stops in one spot: each is named on the drawing or under it, with where and when."""
    page = quarry_page(quarry_subject())
    close = tuple(replace(stop(n % 3 + 1), latitude_deg=spot(n)[0]) for n in range(9))
    walk = replace(PLAIN, stops=close)
    drawing = whole_map(replace(page, search_walks=(walk,)), ways_of(page))
    svg, _, told = drawing.partition("</svg>")
    assert told.startswith('<p class="cap">No room here for the number of stop ')
    for name, says, _, _ in stop_marks(walk):
        number = name.split()[-1]
        shown = f">{name}</text>" in svg or f">{number}</text>" in svg
        assert (f"{name}: {says}" in told) is not shown, name
    assert whole_map(page, ways_of(page)).endswith("</svg>")


def test_a_passage_has_its_state_and_day_by_its_name_where_there_is_room() -> None:
    report = PassageReport(state="open", on=date(2025, 11, 1))
    ford = Passage(
        name="ford", kind="ford", place=quarry_subject().subject.place, reports=(report,)
    )
    assert passage_labels(ford) == ["ford, open 1 Nov 2025", "ford"]
    assert passage_labels(replace(ford, reports=())) == ["ford"]
