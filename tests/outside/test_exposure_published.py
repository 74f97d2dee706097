"""Exposure against what is published: metering, reciprocity, colour, and one case of practice."""

from __future__ import annotations

import itertools
import math
import warnings

import numpy as np
import pytest

from backbearing.errors import BadInput
from backbearing.models.actinic import (
    actinic_ratio,
    colour_stops,
    eye,
    planck,
    sunbeam,
    trial_colour_stops,
)
from backbearing.models.exposure import bellows_stops, ev_from_illuminance, exposure_s
from backbearing.models.illuminance import illuminance
from backbearing.models.reciprocity import metered_s, needed_s
from backbearing.plans.expose.seconds import Seconds, setup
from backbearing.records import Batch, EmulsionClass, TrialLight

EMULSIONS: tuple[EmulsionClass, ...] = ("ordinary", "ortho", "pan")


@pytest.mark.parametrize(("ev", "lux"), [(-3, 0.3125), (0, 2.5), (10, 2560), (15, 81920)])
def test_ev_from_lux(ev: int, lux: float) -> None:
    """ISO 2720: E = C 2^EV / S, C = 250, S = 100."""
    assert float(ev_from_illuminance(lux)) == pytest.approx(ev)


@pytest.mark.parametrize(
    ("iso", "number", "ev", "seconds"),
    [(1, 5.6, 15, 0.0957), (1, 8, 9, 12.5), (6, 16, 14, 0.2604), (25, 22, 13, 0.2363)],
)
def test_seconds_from_ev(iso: float, number: float, ev: float, seconds: float) -> None:
    """ISO 2720: N² / t = E S / C."""
    assert exposure_s(ev, number, iso) == pytest.approx(seconds, rel=1e-3)


@pytest.mark.parametrize(
    ("p", "metered", "needed"),
    [(0.70, 120, 933.8), (0.95, 120, 154.4), (0.90, 30, 43.8), (1 / 1.31, 10, 20.4), (0.8, 1, 1)],
)
def test_reciprocity(p: float, metered: float, needed: float) -> None:
    """Schwarzschild (1900), t^(1/p); P 1.31, 10 s to 20.4 s is a film maker's published example."""
    assert needed_s(metered, p=p) == pytest.approx(needed, rel=2e-3)
    assert metered_s(needed_s(metered, p=p), p=p) == pytest.approx(metered)


def test_bellows() -> None:
    """(v / f)²: f 300 mm at 0.6 m is four times, at 2 m 1.384 times. Closed form."""
    assert bellows_stops(300, 0.6) == pytest.approx(2.0)
    assert bellows_stops(300, 2.0) == pytest.approx(math.log2(1.384), abs=1e-3)
    with pytest.raises(BadInput, match="nearer than the focal length"):
        bellows_stops(300, 0.3)


def test_the_eye_and_daylight_against_colour_science() -> None:
    """CIE 1924 V(λ) and CIE D (CIE 15), as the colour-science package tabulates them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        colour = pytest.importorskip("colour")
        table = colour.SDS_LEFS["CIE 1924 Photopic Standard Observer"]
        days = {
            kelvin: colour.sd_CIE_illuminant_D_series(
                colour.temperature.CCT_to_xy_CIE_D(kelvin), shape=colour.SpectralShape(360, 780, 2)
            ).values
            for kelvin in (4000, 5500, 6500, 8000, 12000, 20000)
        }
    nm = np.arange(380.0, 781.0, 5.0)
    assert np.abs(eye(nm) - np.array([table[x] for x in nm])).max() < 0.03
    for emulsion in EMULSIONS:
        at_5500 = actinic_ratio(days[5500], emulsion)
        for kelvin, spectrum in days.items():
            by_day = math.log2(actinic_ratio(spectrum, emulsion) / at_5500)
            ours = math.log2(actinic_ratio(planck(kelvin), emulsion))
            assert ours == pytest.approx(by_day, abs=0.1), (emulsion, kelvin)


@pytest.mark.parametrize(
    ("altitude", "stops"),
    [(60, -0.18), (30, -0.42), (20, -0.68), (10, -1.36), (6, -2.10), (4, -2.82), (2, -4.21)],
)
def test_a_blue_sensitive_plate_in_the_beam_of_a_low_sun(altitude: float, stops: float) -> None:
    """Worked apart from this code with tabulated V(λ) and ozone (the project's fact sheet)."""
    assert math.log2(actinic_ratio(sunbeam(altitude), "ordinary")) == pytest.approx(stops, abs=0.1)


@pytest.mark.parametrize(
    ("altitude", "beam_lux", "sky_lux", "ordinary", "ortho"),
    [
        (60, 100061, 15224, -0.07, -0.04),
        (30, 83874, 11760, -0.29, -0.17),
        (20, 69301, 9865, -0.49, -0.28),
        (10, 39451, 7259, -0.95, -0.53),
        (6, 19914, 5811, -1.17, -0.66),
        (4, 9628, 4894, -1.01, -0.64),
        (2, 2154, 3696, -0.15, -0.21),
    ],
)
def test_a_plate_before_a_low_sun_and_the_sky_it_leaves(
    altitude: float, beam_lux: float, sky_lux: float, ordinary: float, ortho: float
) -> None:
    """Beam and sky together on an upright face: worked apart from this code, with tabulated V(λ)
    and CIE D at 12000 K for the sky, weighted by the beam square on and half of the IES clear
    sky (the project's fact sheet; 6° and 4° from the same formula).

    The loss is largest where the sun is 4 to 10° up; lower down the blue sky takes over.
    """
    share = beam_lux / (beam_lux + sky_lux / 2.0)
    assert colour_stops("ordinary", altitude, share) == pytest.approx(ordinary, abs=0.1)
    assert colour_stops("ortho", altitude, share) == pytest.approx(ortho, abs=0.1)


def test_light_off_sunlit_ground_has_the_suns_colour() -> None:
    """An upright face in its own shade before fresh snow in sun, and before grass, sun at 20°.

    All the light as blue sky's would be + 0.92 stop; by the shares of sky and sunlit ground and
    the spectra above it is + 0.31 and + 0.61 (worked apart from this code, from lux and spectra).
    """
    for ground, stops in (("fresh snow", 0.31), ("grass", 0.61)):
        light = illuminance(20.0, 180.0, disc_fraction=1.0, face_azimuth_deg=0.0, ground=ground)
        assert float(light.direct_lux) == 0.0
        share = float(light.disc_share)
        assert colour_stops("ordinary", 20.0, share) == pytest.approx(stops, abs=0.1)
    shaded = illuminance(20.0, 180.0, disc_fraction=0.0, face_azimuth_deg=0.0, ground="fresh snow")
    assert float(shaded.disc_share) == 0.0


def ravine(
    altitude: float, view: float, p: float, emulsion: EmulsionClass, trial: TrialLight | None
) -> Seconds:
    """Seconds at f/16 on ISO 2: an upright face sees half of the sky that level ground sees."""
    light = illuminance(
        altitude,
        240.0,
        disc_fraction=0.0,
        face_azimuth_deg=240.0,
        face_sky_view=view / 2.0,
        level_sky_view=view,
    )
    batch = Batch(name="plates", emulsion=emulsion, speed_iso=2, reciprocity_p=p, tested_in=trial)
    way = setup(batch, 16.0)
    ev = float(ev_from_illuminance(light.total_lux))
    found = way.seconds(ev, way.colour(altitude, 0.0, "clear"), float(light.doubt_stops))
    assert found is not None
    return found


def test_forty_seconds_in_a_shaded_ravine(capsys: pytest.CaptureFixture[str]) -> None:
    """Common practice, no source: ISO 2, f/16, 40 s in a shaded ravine late in the afternoon.

    Conditions: sky view 0.3 to 0.6, upright face, no snow, clear sky, sun 0.5 to 5° up behind the
    skyline, p 0.85 to 1. 'Within one stop of 40' is 20 to 80 s. What holds, of three emulsions
    and a speed found in sun or in shade:

    - at the middle of all three ranges: 31 to 65 s, all within a stop;
    - of the 27 corners, edges and middles of the ranges: half or more within a stop (14 to 19);
    - NOT at every corner: sun 0.5° up, the least sky and p 0.85 give up to 393 s, sun 5° up with
      the most sky and p 1 down to 13 s. The light itself changes by 2.2 stops from 5° to 0.5°
      (Circular 171), the sky view by 1, p 0.85 turns 40 s into 77 s: more than four stops between
      the ends, so that no model is within a stop of one figure at both;
    - the range the tool states holds 40 s at the middle and in half of the cases or more, and
      is never farther than 2.7 stops from it. The rest is printed.
    """
    ends = list(itertools.product((0.5, 2.75, 5.0), (0.3, 0.45, 0.6), (0.85, 0.925, 1.0)))
    for emulsion in EMULSIONS:
        for trial in (None, TrialLight(sun_altitude_deg=2.75, shade=True)):
            middle = ravine(2.75, 0.45, 0.925, emulsion, trial)
            every = {end: ravine(*end, emulsion, trial) for end in ends}
            times = [one.exact_s for one in every.values()]
            near = sum(20.0 <= seconds <= 80.0 for seconds in times)
            outside = {e: s for e, s in every.items() if not s.low_s <= 40.0 <= s.high_s}
            with capsys.disabled():
                print(
                    f"\n  ravine, {emulsion}, found in {'shade' if trial else 'sun'}: "
                    f"{middle.exact_s:.0f} s; {min(times):.0f} to {max(times):.0f} s over the "
                    f"range, {near} of {len(every)} within a stop of 40 s; "
                    f"its own range leaves 40 s out in {len(outside)}:",
                    end="",
                )
                for (sun, view, p), one in outside.items():
                    print(
                        f"\n    sun {sun:g}°, sky {view:g}, p {p:g}: {one.exact_s:.0f} s "
                        f"({one.low_s:.0f} to {one.high_s:.0f})",
                        end="",
                    )
            assert 30.0 <= middle.exact_s <= 65.5, (emulsion, trial, middle)
            assert 2 * near > len(every), (emulsion, trial, near)
            assert middle.low_s <= 40.0 <= middle.high_s, (emulsion, trial, middle)
            assert 2 * len(outside) <= len(every), (emulsion, trial)
            for one in outside.values():
                short_of = max(one.low_s / 40.0, 40.0 / one.high_s)
                assert math.log2(short_of) < 2.7, one


def test_a_trials_colour_and_seconds_are_not_counted_twice() -> None:
    """In the trial's own light and time the answer is the trial's, whatever p and plate."""
    for emulsion in EMULSIONS:
        trial = TrialLight(sun_altitude_deg=8.0, shade=True, exposure_s=40.0)
        batch = Batch(
            name="b",
            emulsion=emulsion,
            speed_iso=2,
            reciprocity_p=0.8,
            tested_in=trial,
        )
        way = setup(batch, 16.0)
        ev = math.log2(16.0**2 / 40.0 * 100 / 2)
        assert way.needed(ev, way.colour(8.0, 0.0, "clear")) == pytest.approx(40.0)
        assert trial_colour_stops(emulsion, 8.0, shade=True) > 0
