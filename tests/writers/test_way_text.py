"""A way's passages in words: what it hangs on, and which test pays."""

from dataclasses import replace

from tests.plans.test_approach import place

from backbearing.records import Approach, Leg, OtherPassage, PassageOffer, PassageUse
from backbearing.writers.way import leg_remark, way_text

ENDS = [place(0.0, 0.0), place(1200.0, 0.0)]
LEG = Leg(
    name="over open ground",
    start_name="jetty",
    end_name="arch",
    line=tuple((end.latitude_deg, end.longitude_deg) for end in ENDS),
    length_m=1200.0,
    ascent_m=None,
    descent_m=None,
    usual_s=1200.0,
    slow_s=1500.0,
    footing="trackless",
    steepest_deg=None,
    steepest_at=None,
    rough=True,
)


def way(*, passages: tuple[PassageUse, ...] = (), offers: tuple[PassageOffer, ...] = ()) -> str:
    return way_text(
        Approach(
            start_name="jetty",
            end_name="arch",
            out=(LEG,),
            back=(LEG,),
            length_m=1200.0,
            ascent_m=None,
            usual_s=1200.0,
            slow_s=1500.0,
            back_usual_s=1200.0,
            back_slow_s=1500.0,
            walked_share=0.0,
            cell_m=10.0,
            rests_on=(),
            cautions=(),
            passages=passages,
            offers=offers,
        )
    )


def offer(check_s: float) -> PassageOffer:
    return PassageOffer(
        name="the gap",
        kind="gap",
        chance=0.35,
        last_found="looked blocked, not tried, windfall, 14 Mar 2026",
        check_s=check_s,
        saved_s=25 * 60.0,
        gain_s=300.0,
    )


def test_a_test_that_pays_is_offered_in_minutes_with_its_chance() -> None:
    shown = " ".join(way(offers=(offer(360.0),)).split())
    assert (
        "Worth a look: the gap. 6 min to check, saves 25 min out if open "
        "(chance 35 %; looked blocked, not tried, windfall, 14 Mar 2026)." in shown
    )
    assert "common practice, no source" in shown
    assert "You pass it, saves 25 min" in " ".join(way(offers=(offer(0.0),)).split())


def test_what_the_way_hangs_on_is_said_with_what_else_there_is() -> None:
    sure = PassageUse(
        name="foot bridge", kind="bridge", chance=0.97, last_found="found open", trusted=True
    )
    unsure = PassageUse(
        name="the gap",
        kind="gap",
        chance=0.002,
        last_found="found blocked, snow, 14 Mar 2026",
        trusted=False,
        others=(OtherPassage(name="ford", chance=0.3, longer_s=-720.0),),
    )
    shown = " ".join(way(passages=(sure, unsure)).split())
    assert "By foot bridge: chance open 97 %, found open." in shown
    assert (
        "It hangs on the gap: chance open 1 %, found blocked, snow, 14 Mar 2026. "
        "Else ford: chance 30 %, 12 min shorter out." in shown
    )


def test_without_passages_nothing_is_said_of_them() -> None:
    assert "chance" not in way().lower()


def test_steep_ground_that_was_walked_says_so() -> None:
    """Else 49° would stand there without a word, with ground from 40° on closed elsewhere."""
    steep = replace(LEG, steepest_deg=49.2, rough=False)
    assert leg_remark(replace(steep, footing="own track")) == "walked, 49° at its steepest"
    assert leg_remark(steep) == "49° at its steepest"


def test_names_cannot_move_the_cursor() -> None:
    nasty = PassageUse(
        name="a\x1b[2J\u202eb", kind="gap", chance=0.2, last_found="\x1b", trusted=False
    )
    assert not set(way(passages=(nasty,))) & {"\x1b", "\u202e"}
