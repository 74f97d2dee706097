"""An own pace: what a made-up walker walked must come out, whatever else was recorded."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backbearing.models.pace import CLASS_SLOPES, LEAST_KM, fit_pace, walked_pieces
from backbearing.models.walking import RULES, tobler_s_per_m
from backbearing.records import Segment, Track

M_PER_DEG = 111_200.0
EVERY_S = 5.0


def walk(
    slopes: np.ndarray,
    *,
    bend: float = 1.0,
    noise_m: float = 0.0,
    stand_s: float = 0.0,
    seed: int = 0,
) -> Track:
    """A way north in legs of 500 m of one slope each, walked at Tobler's pace times `bend`,
    with a stop of `stand_s` in the middle, and a receiver that wanders."""
    rng = np.random.default_rng(seed)
    seconds = 500.0 * tobler_s_per_m(slopes) * bend
    at = np.concatenate([[0.0], np.cumsum(seconds)])
    way = np.arange(len(slopes) + 1) * 500.0
    height = np.concatenate([[300.0], 300.0 + np.cumsum(slopes * 500.0)])
    clock = np.arange(0.0, at[-1] + stand_s, EVERY_S)
    half = at[len(at) // 2]
    walked = np.where(clock < half, clock, np.maximum(half, clock - stand_s))
    north = np.interp(walked, at, way)
    return Track(
        segments=(
            Segment(
                latitude_deg=46.0 + (north + rng.normal(0, noise_m, clock.size)) / M_PER_DEG,
                longitude_deg=np.full(clock.size, 8.0)
                + rng.normal(0, noise_m, clock.size) / 77_000,
                height_m=np.interp(walked, at, height),
                time=np.datetime64("2026-05-01T08:00", "ms")
                + (clock * 1000).astype("timedelta64[ms]"),
            ),
        )
    )


LEGS = np.tile([0.0, 0.06, 0.15, -0.06, 0.0, -0.15, 0.02, -0.02], 6)


@settings(max_examples=8, deadline=None)
@given(st.floats(0.7, 2.0), st.floats(0.0, 3600.0))
def test_a_walker_who_takes_longer_than_the_rule_is_found_out_stops_left_aside(
    bend: float, stand_s: float
) -> None:
    own = fit_pace([walked_pieces(walk(LEGS, bend=bend, stand_s=stand_s))])
    assert own is not None
    assert own.km == pytest.approx(24.0, abs=0.3)
    for slope in (-0.15, -0.06, 0.0, 0.06, 0.15):
        expected = bend * float(tobler_s_per_m(slope))
        assert float(own.usual_s_per_m(slope)) == pytest.approx(expected, rel=0.06)
    assert own.slow == pytest.approx(1.0, abs=0.05)  # always alike: hardly a slow end


def test_whatever_rule_is_bent_the_walk_is_told_the_same() -> None:
    pieces = [walked_pieces(walk(LEGS, bend=1.4))]
    for rule in RULES:
        own = fit_pace(pieces, rule)
        assert own is not None
        told = float((pieces[0].length_m * own.usual_s_per_m(pieces[0].slope)).sum())
        assert told == pytest.approx(float(pieces[0].seconds.sum()), rel=0.08)


def test_days_that_differ_show_in_the_slow_end() -> None:
    rng = np.random.default_rng(3)
    bends = rng.uniform(0.8, 1.6, 40)
    own = fit_pace([walked_pieces(walk(LEGS[:8], bend=b, seed=i)) for i, b in enumerate(bends)])
    assert own is not None
    usual = float(own.usual_s_per_m(0.0)) / float(tobler_s_per_m(0.0))
    later = rng.uniform(0.8, 1.6, 4000)
    in_time = np.mean(later <= usual * own.slow)
    # 85 in 100, as far as forty days can tell: their own share strays by 6 in 100
    assert 0.75 <= in_time <= 0.97


def test_a_ride_is_left_out_and_a_drive_home_cut_off() -> None:
    ride = walked_pieces(walk(LEGS, bend=0.25))
    assert ride.too_fast.all()
    assert fit_pace([ride]) is None
    on_foot = walk(np.zeros(40))
    home = walk(np.zeros(8), bend=0.1)
    shift = on_foot.segments[0].time[-1] - home.segments[0].time[0] + np.timedelta64(60, "s")
    both = Track(
        segments=(
            *on_foot.segments,
            Segment(
                latitude_deg=home.segments[0].latitude_deg,
                longitude_deg=home.segments[0].longitude_deg,
                height_m=home.segments[0].height_m,
                time=home.segments[0].time + shift,
            ),
        )
    )
    pieces = walked_pieces(both)
    assert 38 <= pieces.too_fast.sum() <= 42
    own = fit_pace([pieces])
    assert own is not None
    assert own.km == pytest.approx(20.0, abs=0.3)


def test_too_little_walked_gives_no_pace_of_ones_own() -> None:
    short = walked_pieces(walk(np.zeros(int(LEAST_KM * 2) - 4)))
    assert fit_pace([short]) is None
    assert fit_pace([]) is None


def test_tracks_without_times_or_heights_say_nothing() -> None:
    whole = walk(np.zeros(8)).segments[0]
    for part in ("time", "height_m"):
        bare = (
            np.full(whole.time.size, "NaT", "datetime64[ms]")
            if part == "time"
            else np.full(whole.time.size, np.nan)
        )
        values = {
            n: getattr(whole, n) for n in ("longitude_deg", "latitude_deg", "height_m", "time")
        }
        track = Track(segments=(Segment(**{**values, part: bare}),))
        assert walked_pieces(track).slope.size == 0


def test_classes_nobody_walked_take_the_pace_of_the_whole() -> None:
    own = fit_pace([walked_pieces(walk(np.zeros(60), bend=1.3))])
    assert own is not None
    assert own.factors == pytest.approx([1.3] * len(CLASS_SLOPES), rel=0.03)
