"""How windows, places and numbers are worded on the page: each wording once, in one place."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text, dms_text
from backbearing.places.days import month, short_month, short_weekday, weekday
from backbearing.places.words import degrees_text, error_text, sun_stands_text
from backbearing.places.zones import clock_text, local, offset_text
from backbearing.plans.soundness import doubtful
from backbearing.saying import say

if TYPE_CHECKING:
    from datetime import date, datetime

    from backbearing.records import LightWindow, Place


def day_text(day: date, *, year_of: date | None = None) -> str:
    """`Sun 18 Oct`, with the year where it is not that of `year_of`."""
    text = say(
        "{weekday} {day} {month}",
        weekday=short_weekday(day),
        day=day.day,
        month=short_month(day),
    )
    if year_of and day.year == year_of.year:
        return text
    return say("{day} {year}", day=text, year=day.year)


def long_day_text(day: date, *, year_of: date) -> str:
    """`Sunday 18 October`, with the year where it is not that of `year_of`."""
    text = say(
        "{weekday} {day} {month}",
        weekday=weekday(day),
        day=day.day,
        month=month(day),
    )
    if day.year == year_of.year:
        return text
    return say("{day} {year}", day=text, year=day.year)


def clock_on(at: datetime | None, zone: str, day: date) -> str:
    """The clock there, with its weekday where that is not `day`: `16:41`, `Sat 22:16`."""
    if at is None:
        return "–"
    own = local(at, zone).date()
    clock = clock_text(at, zone)
    return clock if own == day else f"{short_weekday(own)} {clock}"


def day_clock_text(at: datetime, zone: str) -> str:
    """The clock there with its day: `Sat 19 Jun, 22:16`."""
    own = local(at, zone).date()
    return f"{day_text(own, year_of=own)}, {clock_text(at, zone)}"


def duration_text(seconds: float | None) -> str:
    """`2 h 05`, `40 min`; a dash where it is not known."""
    if seconds is None:
        return "–"
    hours, minutes = divmod(round(seconds / 60.0), 60)
    return f"{hours} h {minutes:02d}" if hours else f"{minutes} min"


def chance_text(chance: float) -> str:
    """`35 %`, `none` for a wall; never 0 or 100 % of what may be either."""
    return say("none") if chance <= 0.0 else f"{min(max(round(chance * 100.0), 1), 99)} %"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceWords:
    """A position both ways round, with its error and what that rests on."""

    decimal: str
    dms: str
    error: str
    height: str
    source: str


def place_words(place: Place) -> PlaceWords:
    """Word a place."""
    return PlaceWords(
        decimal=decimal_text(place.latitude_deg, place.longitude_deg),
        dms=dms_text(place.latitude_deg, place.longitude_deg),
        error=error_text(place),
        height=""
        if place.height_m is None
        else say("{place_height_m:.0f} m above the sea", place_height_m=place.height_m),
        source=place.source,
    )


def plus_minus_text(window: LightWindow) -> str:
    """`± 4 min`; a window that the wish's own clock limits bound has no error.

    One shorter than twice its error is called doubtful.
    """
    minutes = ceil(window.plus_minus_min)
    if not minutes:
        return say("by the clock")
    return f"± {minutes} min" + (say(", doubtful") if doubtful(window) else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowWords:
    """A light window in words, with the record behind them for machine-readable values."""

    window: LightWindow
    day: str
    start: str
    best: str
    end: str
    clock: str  # only where it differs from the page's clock
    plus_minus: str
    lasts: str
    sun: str
    azimuth: str
    magnetic: str  # the azimuth by the compass, `244M`; '' where that is not known
    delta: str
    camera: str  # which camera position, where the subject has several
    near_line: bool  # the sun comes within 20° of the camera's line
    lit_is_said: bool  # the sentence why opens with it
    behind: str  # what stands behind the subject then; '' where that is not known

    @property
    def short(self) -> str:
        """One line of it: `Sun 18 Oct 16:41–17:08 ± 4 min, best 16:51`."""
        return say(
            "{day} {start}–{end} {plus_minus}, best {best}",
            day=self.day,
            start=self.start,
            end=self.end,
            plus_minus=self.plus_minus,
            best=self.best,
        )


def window_words(
    window: LightWindow,
    *,
    start: date,
    clock: str,
    camera: str = "",
    near_line: bool = False,
    behind: str = "",
    declination_deg: float | None = None,
) -> WindowWords:
    """Word a window; `clock` is the page's own offset from UTC, said once at its head."""
    offset = offset_text(window.start, window.zone)
    return WindowWords(
        window=window,
        day=day_text(window.day, year_of=start),
        start=clock_on(window.start, window.zone, window.day),
        best=clock_on(window.best, window.zone, window.day),
        end=clock_on(window.end, window.zone, window.day),
        clock="" if offset == clock else offset,
        plus_minus=plus_minus_text(window),
        lasts=duration_text((window.end - window.start).total_seconds()),
        sun=sun_stands_text(window.sun_altitude_deg),
        azimuth=degrees_text(window.sun_azimuth_deg),
        magnetic=""
        if declination_deg is None
        else degrees_text(window.sun_azimuth_deg - declination_deg).replace("°", "M"),
        delta="" if window.delta_deg is None else f"{round(window.delta_deg)}°",
        camera=camera,
        near_line=near_line,
        lit_is_said=window.why.lower().startswith(window.lit_from.lower()),
        behind=behind,
    )
