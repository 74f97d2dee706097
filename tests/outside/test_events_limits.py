"""Where the sun no longer rises or twilight no longer ends, by spherical trigonometry.

cos H0 = (sin h0 − sin φ sin δ) / (cos φ cos δ) reaches ±1 at φ = 90° − |δ| ± |h0|, with the
USNO's h0 of −50′, −6°, −12° and −18° ("Rise, Set and Twilight Definitions", 2004).
"""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from backbearing.models.events import sun_events
from backbearing.models.sun import sun_position

SUMMER = datetime(2026, 6, 21, tzinfo=UTC)
WINTER = datetime(2026, 12, 21, tzinfo=UTC)
DECLINATION_DEG = 23.438  # of both solstices of 2026, ±; computed, and checked below
MARGIN_DEG = 0.01  # parallax 0.0024° and the declination's change within the day


def kinds(latitude: float, start: datetime) -> set[str]:
    return {e.kind for e in sun_events(latitude, 0.0, start, start + timedelta(days=1))}


@pytest.mark.parametrize(
    ("start", "limit_deg", "kind", "beyond"),
    [
        (SUMMER, 90.0 - DECLINATION_DEG - 50 / 60, "sunset", "sun stays up"),
        (
            SUMMER,
            90.0 - DECLINATION_DEG - 6.0,
            "civil dusk",
            "civil twilight or lighter throughout",
        ),
        (
            SUMMER,
            90.0 - DECLINATION_DEG - 12.0,
            "nautical dusk",
            "nautical twilight or lighter throughout",
        ),
        (
            SUMMER,
            90.0 - DECLINATION_DEG - 18.0,
            "astronomical dusk",
            "astronomical twilight or lighter throughout",
        ),
        (WINTER, 90.0 - DECLINATION_DEG + 50 / 60, "sunrise", "sun stays down"),
        (
            WINTER,
            90.0 - DECLINATION_DEG + 6.0,
            "civil dawn",
            "darker than civil twilight throughout",
        ),
    ],
)
def test_the_limit_of_an_event(start: datetime, limit_deg: float, kind: str, beyond: str) -> None:
    within, past = kinds(limit_deg - MARGIN_DEG, start), kinds(limit_deg + MARGIN_DEG, start)
    assert kind in within
    assert beyond not in within
    assert kind not in past
    assert beyond in past


def test_the_declination_used_above() -> None:
    """At the pole the airless altitude is the declination, less the parallax."""
    for start, sign in ((SUMMER, 1.0), (WINTER, -1.0)):
        when = np.datetime64(start.replace(tzinfo=None)) + np.timedelta64(12, "h")
        altitude = sun_position(when, 90.0, 0.0, refraction=False).altitude_deg
        assert altitude == pytest.approx(sign * DECLINATION_DEG, abs=0.003)
