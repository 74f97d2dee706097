"""What the page's script needs to show another day and minute: words and numbers of the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.places.zones import clock_name, local
from backbearing.writers.expose import range_text
from backbearing.writers.page.lightcalendar import good_text
from backbearing.writers.skylinestrip import strip_scale
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from backbearing.plans.page import ReturnPage

_TONES = {
    "night": "night",
    "twilight": "twilight",
    "shade": "over the horizon, not here",
    "sun": "on the place",
}


def chosen_data(page: ReturnPage) -> dict[str, Any] | None:
    """The days and minutes to choose from; None where the page has no calendar."""
    held = page.calendar
    if held is None or not page.chosen:
        return None
    lead = page.next_light
    first = page.chosen[0].day
    at = local(lead.best, held.zone) if lead and lead.subject == held.subject else None
    row = (at.date() - first).days if at else 0
    inside = at is not None and 0 <= row < len(page.chosen)
    return {
        "subject": held.subject,
        "clock": clock_name(held.zone),
        "lead": [row, at.hour * 60 + at.minute] if at and inside else [0, 12 * 60],
        "planned": page.outing.day.isoformat() if page.outing else "",
        "tones": list(_TONES.values()),
        "kit": _kit_text(page),
        "days": [
            {
                "name": day_text(each.day),
                "iso": each.day.isoformat(),
                "good": good_text(near),
                "at": [
                    [m.clock_min, m.azimuth_deg, m.altitude_deg, list(_TONES).index(m.tone)]
                    for m in each.minutes
                ],
                "seconds": [
                    [
                        s.clock_min,
                        *("too dark" if one is None else range_text(one) for one in s.seconds),
                    ]
                    for s in each.seconds
                ],
            }
            for each, near in zip(page.chosen, held.near, strict=True)
        ],
        "strip": strip_scale(page.skyline) if page.skyline else None,
    }


def _kit_text(page: ReturnPage) -> str:
    held = page.tripod
    if held is None or held.batch is None:
        return ""
    engraved = held.aperture.engraved
    return f"{held.batch.name}, {engraved if engraved.startswith('f/') else 'f/' + engraved}"
