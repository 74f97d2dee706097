"""Passages in doubt: never counted on where there is another way, never the end of the ground."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest
from tests.fieldwork import put_walk
from tests.plans.test_approach import (
    CELLS,
    DAY,
    STREAM,
    bare,
    go,
    level,
    line,
    place,
    put_ground,
    walked,
)

from backbearing.errors import BadInput
from backbearing.models.walking import OFF_PATH_FACTOR, din_s_per_m
from backbearing.notebook import Notebook
from backbearing.notebook.lines import add_passage, add_report, find_passage, store_line
from backbearing.plans.approach import Going
from backbearing.records import Passage, PassageReport, Place

__all__ = ["bare", "level"]  # fixtures

A_METRE_S = float(din_s_per_m(0.0)) * OFF_PATH_FACTOR  # over level open ground


def passage(
    name: str,
    state: str,
    cause: str = "",
    *,
    north_m: float = 0.0,
    east_m: float = 0.0,
    kind: str = "bridge",
    error_m: float = 5.0,
) -> Passage:
    at = place(east_m, north_m)
    return Passage(
        name=name,
        kind=kind,  # type: ignore[arg-type]
        place=Place(
            latitude_deg=at.latitude_deg,
            longitude_deg=at.longitude_deg,
            error_m=error_m,
            error_basis="given",
        ),
        reports=(PassageReport(state=state, cause=cause, on=date(2026, 6, 1)),),  # type: ignore[arg-type]
    )


def put(notebook: Notebook, *things: Passage) -> None:
    with notebook.writing():
        for thing in things:
            add_passage(notebook, thing)


@pytest.fixture
def stream(level: Notebook) -> Notebook:
    """Level ground with a stream between start and end, and a far bridge over it."""
    with level.writing():
        store_line(level, None, STREAM)
    put(level, passage("far bridge", "open", north_m=800.0))
    return level


def test_one_that_looked_blocked_is_offered_with_what_it_costs_to_look(stream: Notebook) -> None:
    put(stream, passage("plank bridge", "looked blocked", "windfall"))
    way = go(stream)
    assert [use.name for use in way.passages] == ["far bridge"]
    assert way.passages[0].trusted
    (offer,) = way.offers
    assert (offer.name, offer.kind) == ("plank bridge", "bridge")
    assert 0.3 < offer.chance < 0.5
    # 1,000 m to the far bridge and 1,000 m on; by the plank bridge 1,200 m in all
    assert offer.saved_s == pytest.approx(800.0 * A_METRE_S, rel=0.05)
    # 600 m to it, 800 m along the bank, and 1,000 m on from the far bridge
    assert offer.check_s == pytest.approx(400.0 * A_METRE_S, rel=0.15)
    expected_s = offer.chance * offer.saved_s - (1.0 - offer.chance) * offer.check_s
    assert offer.gain_s == pytest.approx(expected_s)


def test_what_it_saves_is_what_the_way_by_it_takes_less(stream: Notebook) -> None:
    put(stream, passage("plank bridge", "looked blocked", north_m=250.0))
    before = go(stream)
    with stream.writing():
        number = find_passage(stream, "plank bridge").id
        add_report(stream, number, PassageReport(state="open", on=date(2026, 6, 20)))
    after = go(stream)
    assert after.offers == ()
    assert [use.name for use in after.passages] == ["plank bridge"]
    assert before.offers[0].saved_s == pytest.approx(before.usual_s - after.usual_s, abs=20.0)


@pytest.mark.parametrize(
    "hopeless",
    [
        passage("plank bridge", "blocked", "windfall"),  # it was tried a month ago
        passage("plank bridge", "blocked", "wall"),
        passage("plank bridge", "looked blocked", north_m=810.0),  # hard by the one that is open
        passage("plank bridge", "looked blocked", north_m=-1400.0),  # farther round than it
    ],
)
def test_what_does_not_pay_is_not_offered(stream: Notebook, hopeless: Passage) -> None:
    put(stream, hopeless)
    way = go(stream)
    assert way.offers == ()
    assert way.length_m == pytest.approx(2000.0, rel=0.05)


def test_the_most_worth_comes_first(stream: Notebook) -> None:
    put(
        stream,
        passage("plank bridge", "looked blocked", "windfall", north_m=100.0),
        # saves less, but lies almost on the way to the far bridge
        passage("upper bridge", "looked blocked", "windfall", north_m=500.0),
    )
    offers = go(stream).offers
    assert [offer.name for offer in offers] == ["upper bridge", "plank bridge"]
    assert offers[0].saved_s < offers[1].saved_s
    assert offers[0].gain_s > offers[1].gain_s > 0.0


def test_where_it_is_the_only_way_the_way_goes_by_it_and_says_so(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, STREAM)
    put(level, passage("plank bridge", "looked blocked", "windfall", north_m=300.0))
    way = go(level)
    assert way.length_m == pytest.approx(2 * np.hypot(600.0, 300.0), rel=0.05)
    (use,) = way.passages
    assert (use.name, use.trusted, use.others) == ("plank bridge", False, ())
    assert use.last_found == "looked blocked, not tried, windfall, 1 Jun 2026"
    assert [leg.end_name for leg in way.out] == ["plank bridge", "camera position"]
    assert [leg.end_name for leg in way.back] == ["plank bridge", "start"]
    assert way.offers == ()


def test_of_several_in_doubt_the_most_promising_is_taken_and_the_others_are_named(
    level: Notebook,
) -> None:
    with level.writing():
        store_line(level, None, STREAM)
    put(
        level,
        passage("plank bridge", "blocked", "windfall"),  # near, and hardly open
        passage("upper bridge", "looked blocked", "windfall", north_m=600.0),
    )
    (use,) = go(level).passages
    assert (use.name, use.trusted) == ("upper bridge", False)
    (other,) = use.others
    assert other.name == "plank bridge"
    assert other.chance < use.chance
    shorter_m = 2 * np.hypot(600.0, 600.0) - 1200.0
    assert other.longer_s == pytest.approx(-shorter_m * A_METRE_S, rel=0.1)


def test_two_in_a_row_are_both_gone_by(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, STREAM)
        store_line(level, None, line("river", "", (300.0, -2500.0), (300.0, 2500.0)))
    put(
        level,
        passage("plank bridge", "looked blocked"),
        passage("lower bridge", "looked blocked", east_m=300.0, north_m=-50.0),
    )
    way = go(level)
    assert [(use.name, use.trusted) for use in way.passages] == [
        ("plank bridge", False),
        ("lower bridge", False),
    ]


def test_one_where_a_past_walk_crossed_counts_for_more_than_the_walk(stream: Notebook) -> None:
    put_walk(stream, walked((-200.0, 0.0), (200.0, 0.0)))
    assert go(stream).length_m == pytest.approx(1200.0, rel=0.05)
    put(stream, passage("plank bridge", "blocked", "windfall"))
    way = go(stream)
    assert way.length_m == pytest.approx(2000.0, rel=0.05)


@pytest.mark.parametrize(("off_m", "counts"), [(25.0, False), (100.0, True)])
def test_a_crossing_as_near_as_the_tracks_error_is_one_at_the_shut_passage(
    stream: Notebook, off_m: float, counts: bool
) -> None:
    put(stream, passage("plank bridge", "blocked", "windfall"))
    put_walk(stream, walked((-200.0, off_m), (200.0, off_m)))
    length_m = 2 * np.hypot(600.0, off_m if counts else 800.0)
    assert go(stream).length_m == pytest.approx(length_m, rel=0.05)


def test_whoever_wades_needs_no_bridge(stream: Notebook) -> None:
    put(stream, passage("plank bridge", "blocked", "wall"))
    way = go(stream, Going(wade=True))
    assert way.length_m == pytest.approx(1200.0, rel=0.05)
    assert way.passages == ()


def test_whoever_wades_where_a_ford_is_in_doubt_does_so_in_the_light(level: Notebook) -> None:
    put_walk(level, walked((-620.0, 0.0), (620.0, 0.0)))
    put(level, passage("ford", "blocked", "wall", kind="ford"))
    way = go(level, Going(wade=True))
    assert way.passages == ()
    assert {leg.footing for leg in way.out} == {"own track"}
    assert any(leg.rough and leg.water == ("ford",) for leg in way.out)


@pytest.fixture
def ridge(bare: Notebook, tmp_path: Path) -> Notebook:
    """A rib of rock, 20 m high and 63° steep, from end to end of the ground."""
    heights = np.full((CELLS, CELLS), 100.0)
    heights[:, 160] = 120.0
    put_ground(bare, tmp_path, heights)
    return bare


def test_a_gap_leads_through_ground_too_steep_for_feet(ridge: Notebook) -> None:
    with pytest.raises(BadInput, match="40° and more"):
        go(ridge)
    put(ridge, passage("the gap", "open", kind="gap", north_m=200.0, error_m=20.0))
    way = go(ridge)
    assert [use.name for use in way.passages] == ["the gap"]
    assert way.length_m == pytest.approx(2 * np.hypot(600.0, 200.0), rel=0.05)


def test_a_gap_in_doubt_is_gone_by_where_there_is_no_other(ridge: Notebook) -> None:
    put(ridge, passage("the gap", "looked blocked", kind="gap", error_m=20.0))
    (use,) = go(ridge).passages
    assert not use.trusted
    put(ridge, passage("the step", "open", kind="step", north_m=700.0, error_m=20.0))
    way = go(ridge)
    assert [use.name for use in way.passages] == ["the step"]
    assert [offer.name for offer in way.offers] == ["the gap"]


def test_a_wall_on_the_map_is_crossed_at_a_gap(level: Notebook) -> None:
    with level.writing():
        store_line(level, None, line("wall", "march wall", (0.0, -2500.0), (0.0, 2500.0)))
    with pytest.raises(BadInput, match="march wall"):
        go(level)
    put(level, passage("stile", "open", kind="gap", north_m=300.0))
    way = go(level)
    assert way.length_m == pytest.approx(2 * np.hypot(600.0, 300.0), rel=0.05)
    assert [leg.water for leg in way.out] == [(), ()]  # a wall is no water


def test_on_tracks_alone_a_blocked_place_stops_the_way_and_a_doubtful_one_is_named(
    bare: Notebook,
) -> None:
    put_walk(bare, walked((-600.0, 0.0), (0.0, 0.0), (600.0, 0.0)))
    assert go(bare).passages == ()
    put(bare, passage("the incline", "looked blocked", "windfall", kind="gap"))
    (use,) = go(bare).passages
    assert (use.name, use.trusted) == ("the incline", False)
    with bare.writing():
        number = find_passage(bare, "the incline").id
        add_report(bare, number, PassageReport(state="blocked", cause="wall", on=DAY))
    with pytest.raises(BadInput, match="the incline"):
        go(bare)


def test_one_walks_up_to_a_passage_that_is_shut(stream: Notebook) -> None:
    put(stream, passage("plank bridge", "blocked", "wall"))
    way = go(stream, end=place(0.0, 0.0))
    assert way.length_m == pytest.approx(580.0, abs=30.0)
