"""What the page's script needs to show another day and minute: words and numbers of the plan.

Tables stand as text, two letters a number (`pair`), so that a year stays small:
the sun in runs of [clock, count, (azimuth, altitude and near the line) …] every ten minutes,
tones as [from, to, tone] …. Seconds and clocks of other days stand in `otherdays`, packed.
"""

from __future__ import annotations

import shlex
from typing import TYPE_CHECKING, Any

from backbearing.places.zones import clock_name, local
from backbearing.plans.chosen import STEP_MIN
from backbearing.plans.soundness import leading
from backbearing.plans.tones import TONES
from backbearing.saying import say
from backbearing.writers.page.chosenwords import HEAD_LEAD, HEAD_PLANNED, WORDS
from backbearing.writers.page.lightcalendar import good_text, on_rows
from backbearing.writers.page.strip import close_scale, window_of
from backbearing.writers.skylinestrip import strip_scale
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.chosen import ChosenYear, SunMinutes
    from backbearing.plans.page import ReturnPage
    from backbearing.plans.tones import Stretch
    from backbearing.records import LightWindow
    from backbearing.writers.page.content import PageWords

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
LIFT = 200  # tenths of a degree, so that the sun under the horizon has a number too


def pair(number: int) -> str:
    """A whole number from 0 to 4095 in two letters."""
    return LETTERS[number // 64] + LETTERS[number % 64]


def chosen_data(page: ReturnPage, words: PageWords) -> dict[str, Any] | None:
    """The days and minutes to choose from; None where the page has no calendar."""
    if not page.chosen:
        return None
    names = [year.calendar.subject for year in page.chosen]
    subjects = [_subject(page, year, words) for year in page.chosen]
    lead = page.next_light
    first = page.chosen[0].calendar
    last = len(first.every) - 1
    own = lead is not None and lead.subject == first.subject
    day = (local(lead.best, lead.zone).date() - page.start).days if lead and own else 0
    planned = None
    if page.outing is not None and page.outing.subject in names:
        at = (page.outing.day - page.start).days
        planned = [names.index(page.outing.subject), at] if 0 <= at <= last else None

    def pick(window: LightWindow) -> list[int]:
        """Subject, day and minute of a window's best light; [] where it cannot be chosen."""
        day = (local(window.best, window.zone).date() - page.start).days
        if window.subject not in names or not 0 <= day <= last:
            return []
        return [names.index(window.subject), day, _tens(window)]

    return {
        "days": [[day_text(each.day), each.day.isoformat()] for each in first.every],
        "lead": [0, min(max(day, 0), last), _first_minute(page) if lead and own else 12 * 60],
        "planned": planned,
        "picks": [pick(row.window) for _, row in words.soonest],
        "own_picks": {
            each.anchor: [pick(row.window) for row in each.windows] for each in words.subjects
        },
        "near_days": len(first.near),
        "step": STEP_MIN,
        "lift": LIFT,
        "kit": _kit_text(page),
        "texts": [],
        "subjects": subjects,
        "words": _words(planned=planned is not None),
    }


def _subject(page: ReturnPage, year: ChosenYear, words: PageWords) -> dict[str, Any]:
    held = year.calendar
    number = next(
        i for i, each in enumerate(words.subjects) if each.each.subject.name == held.subject
    )
    best = {
        str(index): _tens(window)
        for index, each in enumerate(held.every)
        if (window := leading(w for w in each.windows if w.sky == "clear")) is not None
    }
    strips = [strip_scale(year.skyline)]
    close = close_scale(year.skyline, window_of(page, held.subject))
    if close is not None:
        strips.append(close)
    return {
        "name": held.subject,
        "number": number,
        "anchor": words.subjects[number].anchor,
        "clock": clock_name(held.zone),
        "expose": say(
            "backbearing expose {quote}{kit} --at ",
            quote=shlex.quote(held.subject),
            kit=_kit_options(page),
        ),
        "plan": say("backbearing outing {quote} --date ", quote=shlex.quote(held.subject)),
        "line_known": year.sun.near_line is not None,
        "sun": list(sun_texts(year.sun, len(held.every))),
        "tones": ["".join(map(_stretch, each.tones)) for each in held.every],
        "good": {str(i): good_text(each) for i, each in enumerate(held.every) if each.windows},
        "best": best,
        "windows": {
            str(i): found
            for i, each in enumerate(held.every)
            if (found := [next(on_rows(w))[1:] for w in each.windows if w.sky == "clear"])
        },
        "seconds": {},  # as unpacked
        "strips": strips,
    }


def _first_minute(page: ReturnPage) -> int:
    """The table's minute next to the planned exposure, where one is planned in the leading light.

    Else the one of its best light.
    """
    lead, outing = page.next_light, page.outing
    if lead is None:
        return 12 * 60
    own = outing is not None and (outing.subject, outing.window.day) == (lead.subject, lead.day)
    if outing is None or not own or not lead.start <= outing.times.expose <= lead.end:
        return _tens(lead)
    at = local(outing.times.expose, lead.zone)
    return (at.hour * 60 + at.minute + STEP_MIN // 2) // STEP_MIN * STEP_MIN


def _tens(window: LightWindow) -> int:
    """The table's minute at or before a window's best one."""
    at = local(window.best, window.zone)
    return (at.hour * 60 + at.minute) // STEP_MIN * STEP_MIN


def _stretch(stretch: Stretch) -> str:
    first, last, tone = stretch
    return pair(first) + pair(last) + str(TONES.index(tone))


def sun_texts(sun: SunMinutes, days: int) -> Iterator[str]:
    """A text a day, '' where it stays night; runs end where the clock jumps or night comes."""
    import numpy as np

    letters = np.array(list(LETTERS))
    azimuth = np.rint(sun.azimuth_deg * 10.0).astype(int) % 3600
    altitude = np.rint(sun.altitude_deg * 10.0).astype(int) + LIFT
    near = 0 if sun.near_line is None else sun.near_line.astype(int)
    numbers = np.stack([azimuth, 2 * altitude + near], axis=1)
    both = np.stack([letters[numbers // 64], letters[numbers % 64]], axis=2)
    text = "".join(both.ravel().tolist())
    cut = (np.diff(sun.day) != 0) | (np.diff(sun.clock_min) != STEP_MIN)
    starts = np.concatenate([[0], np.flatnonzero(cut) + 1])[: sun.day.size]
    ends = np.append(starts[1:], sun.day.size)
    found = [""] * days
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):
        run = pair(int(sun.clock_min[first])) + pair(last - first)
        found[int(sun.day[first])] += run + text[4 * first : 4 * last]
    yield from found


def _words(*, planned: bool) -> dict[str, str | list[str]]:
    """The script's sentences in the language spoken."""
    return {
        key: say(text) if isinstance(text, str) else list(map(say, text))
        for key, text in (WORDS | {"head_lead": HEAD_PLANNED if planned else HEAD_LEAD}).items()
    }


def _kit_options(page: ReturnPage) -> str:
    held = page.tripod
    if held is None or held.batch is None:
        return ""
    lens = f" --lens {shlex.quote(held.lens)}" if held.lens else ""
    mark = shlex.quote(held.aperture.engraved)
    return f" --batch {shlex.quote(held.batch.name)}{lens} --aperture {mark}"


def _kit_text(page: ReturnPage) -> str:
    held = page.tripod
    if held is None or held.batch is None:
        return ""
    engraved = held.aperture.engraved
    return f"{held.batch.name}, {engraved if engraved.startswith('f/') else 'f/' + engraved}"
