"""A window shorter than twice its ± does not lead where a sound one follows soon."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from tests.writers.return_pages import window

from backbearing.plans.soundness import doubtful, leading

SOUND = window("arch", date(2026, 10, 18))  # 27 minutes, ± 3.4
SHORT = replace(window("arch", date(2026, 10, 12)), plus_minus_min=14.0)


def test_a_window_is_doubtful_where_its_error_can_swallow_it() -> None:
    assert doubtful(SHORT)
    assert not doubtful(replace(SHORT, plus_minus_min=13.0))
    assert not doubtful(SOUND)


def test_a_sound_window_within_a_fortnight_leads() -> None:
    assert leading([SOUND, SHORT]) is SOUND
    late = replace(SOUND, start=SHORT.start + timedelta(days=15))
    assert leading([SHORT, late]) is SHORT, "nothing sound comes soon"


def test_the_soonest_sound_window_leads() -> None:
    later = window("arch", date(2026, 10, 20))
    assert leading([later, SOUND]) is SOUND
    assert leading([]) is None


def test_overcast_does_not_stand_in_for_sun() -> None:
    grey = replace(SOUND, sky="overcast", plus_minus_min=0.0)
    assert leading([SHORT, grey]) is SHORT
