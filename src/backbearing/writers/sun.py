"""The sun's day and moment at a place, in words."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import degrees_text, error_text
from backbearing.places.zones import clock_name, clock_text, local
from backbearing.plans.sun import CAUTION, SAME_AS_ASTRAL
from backbearing.writers.skyline import seasons_words, sun_of_day_lines
from backbearing.writers.text import clean, table

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from backbearing.plans.sun import DayEvent, OverGround, SunAnswer, SunDay, SunMoment
    from backbearing.records import Place

_DARKEST_HOUR_SHOWN_DEG = -6.0  # lower, and the hour is night for a camera


def sun_text(answer: SunAnswer) -> str:
    """The answer of `sun` in words."""
    if answer.day is not None:
        return _day_text(answer.name, answer.place, answer.day, answer.over_ground)
    if answer.moment is not None:
        return _moment_text(
            answer.name, answer.place, answer.zone, answer.moment, answer.over_ground
        )
    return ""


def _day_text(name: str, place: Place, day: SunDay, ground: OverGround | None) -> str:
    """A local day of the sun in words: events, what astral says, altitude and azimuth by hour."""
    lines = [_head(name, place), f"{day.day:%A} {day.day.day} {day.day:%B %Y}, {_clock_words(day)}"]
    if ground is not None and ground.day is not None:
        lines += ["", "Over the ground around:"]
        lines += [f"  {line}" for line in sun_of_day_lines(ground.day, day.zone)]
        lines.append(f"  {seasons_words(ground.seasons, ground.year_from)}")
    lines += ["", "Over a flat horizon:"]
    lines += [f"  {_sentence(state)}" for state in _telling(day.states)]
    kinds = [event.kind for event in day.events]
    if ("sunrise" in kinds) != ("sunset" in kinds):
        absent = "sunset" if "sunrise" in kinds else "sunrise"
        lines.append(f"  No {absent} falls on this local day.")
    lines += _indented(
        table(
            ("", "clock", "±min", "azimuth", "altitude"),
            (_event_row(event, day.zone) for event in day.events),
            right=(2, 3, 4),
        )
    )
    if any(event.cannot_be_told for event in day.events):
        lines.append("  ± ?: the sun grazes the horizon; an hour either way is possible.")
    lines += ["", _astral_words(day)]
    lines += ["", *_hour_lines(day)]
    lines += ["", *(_sentence(assumption) for assumption in day.assumptions), CAUTION]
    return "\n".join(lines)


def _moment_text(
    name: str, place: Place, zone_name: str, moment: SunMoment, ground: OverGround | None
) -> str:
    """The sun at one instant in words: azimuth true and magnetic, how high."""
    there = local(moment.when, zone_name)
    clock = clock_text(moment.when, zone_name, abbreviation=True)
    lines = [
        _head(name, place),
        f"{there:%A} {there.day} {there:%B %Y}, {clock} ({moment.when:%H:%M} UTC)",
        "",
        f"azimuth   {degrees_text(moment.azimuth_deg)} true" + _magnetic_words(moment),
        f"altitude  {_altitude_words(moment)}",
        *_now_lines(ground, zone_name),
        "",
        *(_sentence(assumption) for assumption in moment.assumptions),
        CAUTION,
    ]
    return "\n".join(lines)


def _now_lines(ground: OverGround | None, zone_name: str) -> list[str]:
    """'in sun since 09:12, until 15:40', over the ground around."""
    if ground is None or ground.now is None:
        return []
    since, until = (
        None if at is None else clock_text(at, zone_name)
        for at in (ground.now.since, ground.now.until)
    )
    if ground.now.in_sun:
        return [f"skyline   in sun since {since}, until {until}"]
    gone = f"the sun went at {since}" if since else "no sun yet that day"
    comes = f"it comes at {until}" if until else "none comes after"
    return [f"skyline   in shade: {gone}, {comes}"]


def _head(name: str, place: Place) -> str:
    where = decimal_text(place.latitude_deg, place.longitude_deg)
    height = "" if place.height_m is None else f", {place.height_m:.0f} m above the sea"
    shown = clean(name)
    return f"{shown}: {where}{height}\n  position {clean(error_text(place))}"


def _telling(states: Sequence[str]) -> list[str]:
    """The states that say all: the sun's own, then the lightest 'or lighter' or the darkest."""
    if "sun stays up" in states:
        return ["the sun stays up all day"]
    lighter = [state for state in states if "lighter" in state][:1]
    darker = [state for state in states if "dark" in state or "night" in state][-1:]
    down = ["the sun stays down all day"] if "sun stays down" in states else []
    return down + lighter + darker


def _clock_words(day: SunDay) -> str:
    last = day.end - timedelta(seconds=1)
    letters = [
        clock_text(at, day.zone, abbreviation=True).split(" ", 1)[1] for at in (day.start, last)
    ]
    shown = letters[0] if letters[0] == letters[1] else f"{letters[0]}, later {letters[1]}"
    name = clock_name(day.zone)
    return f"clock of {name}" + ("" if name.startswith("UTC") else f" ({shown})")


def _event_row(event: DayEvent, zone_name: str) -> tuple[str, ...]:
    doubt = "?" if event.cannot_be_told else ""
    if event.plus_minus_min is not None:
        doubt = f"{max(1.0, event.plus_minus_min):.0f}"
    altitude = f"{event.altitude_deg:.1f}°" if event.kind == "noon" else ""
    return (
        event.kind,
        clock_text(event.when, zone_name),
        doubt,
        degrees_text(event.azimuth_deg),
        altitude,
    )


def _astral_words(day: SunDay) -> str:
    shown = [
        f"{name} {clock_text(when, day.zone) if when else 'none'}"
        for name, when in day.astral.items()
    ]
    return f"astral's own figures ({_astral_gap(day)}):\n  {', '.join(shown)}"


def _astral_gap(day: SunDay) -> str:
    """How far astral's figures and ours part, in words."""
    gaps: list[float] = []
    for name, kind in SAME_AS_ASTRAL.items():
        theirs = day.astral[name]
        ours: list[datetime] = [event.when for event in day.events if event.kind == kind]
        if (theirs is None) != (not ours):
            return "they disagree on what happens at all, as they may where the sun grazes"
        if theirs is not None:
            gaps.append(min(abs((theirs - when).total_seconds()) for when in ours))
    widest = max(gaps, default=0.0)
    return (
        f"within {math.ceil(widest)} s of ours"
        if widest < 120
        else f"within {math.ceil(widest / 60)} min of ours"
    )


def _hour_lines(day: SunDay) -> list[str]:
    light = [hour for hour in day.hours if hour.altitude_deg >= _DARKEST_HOUR_SHOWN_DEG]
    if not light:
        return ["At no full hour is the sun higher than 6° below the horizon."]
    rows = (
        (
            clock_text(hour.when, day.zone),
            degrees_text(hour.azimuth_deg),
            f"{hour.altitude_deg:.1f}°",
        )
        for hour in light
    )
    return table(("hour", "azimuth", "altitude"), rows, right=(1, 2)).splitlines()


def _magnetic_words(moment: SunMoment) -> str:
    if moment.magnetic_azimuth_deg is None or moment.declination_deg is None:
        return f" (by the compass: not known, {moment.no_compass})"
    side = "E" if moment.declination_deg >= 0 else "W"
    return (
        f", {degrees_text(moment.magnetic_azimuth_deg)} by the compass "
        f"(declination {abs(moment.declination_deg):.1f}° {side}, "
        f"±{moment.declination_error_deg:.1f}°)"
    )


def _altitude_words(moment: SunMoment) -> str:
    size = abs(moment.altitude_deg)
    figure = f"{size:.0f}°" if size >= 10.0 else f"{size:.1f}°"
    side = "up" if moment.altitude_deg >= 0.0 else "below the horizon"
    return f"{figure} {side}" + ("" if moment.state == "up" else f", {moment.state}")


def _sentence(clause: str) -> str:
    return f"{clause[:1].upper()}{clause[1:]}."


def _indented(block: str) -> list[str]:
    return [f"  {line}" for line in block.splitlines()]
