"""The skyline of a place in words, with a strip of characters for a terminal."""

from __future__ import annotations

from calendar import month_abbr
from datetime import timedelta
from math import log2
from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.days import short_month
from backbearing.places.words import degrees_text, error_text, metres_text
from backbearing.places.zones import clock_name, clock_text, local
from backbearing.plans.horizon import YEAR_DAYS
from backbearing.plans.skyseen import trees_take_words
from backbearing.saying import phrase, say, say_n
from backbearing.writers.readings import trees_words
from backbearing.writers.text import clean, table

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date, datetime

    from backbearing.plans.horizon import Blocker, Season, SkylineAnswer, SkyView, SunOfDay

_WIDE = 100
_COLUMNS, _ROWS = 72, 12
_OPEN_UPRIGHT = 0.5  # of the sky's light, on an upright face in the open
_GROUND, _TREES, _MEASURED, _HIDDEN = "█", "▒", "▓", "·"
_SUNS = "o*x+^~"  # one for each day
_NOT_IN_IT = phrase("Trees, buildings and anything smaller than a cell are not in it.")
_WOOD_IN_IT = phrase("Buildings, single trees and anything smaller than a cell are not in it.")
CAUTION = phrase("Never look at the sun through a lens, finder or loupe.")
_MARK_OF = {"trees": _TREES, "measured": _MEASURED}
_POINTS = ("N", "", "NE", "", "E", "", "SE", "", "S", "", "SW", "", "W", "", "NW", "")
BRANCHES = phrase("1 to 2 stops down: not full sun, not counted as sun")


def skyline_text(answer: SkylineAnswer) -> str:
    """What blocks in each direction, the days' sun, and what it rests on."""
    lines = [
        say(
            "Skyline at {name}; clock of {zone}",
            name=clean(answer.name),
            zone=clock_name(answer.zone),
        )
    ]
    lines += [_folded(sentence) for sentence in _head(answer)]
    if not answer.flat:
        lines += ["", *_strip(answer), "", _blockers(answer)]
    for day in answer.days:
        lines += ["", *sun_of_day_lines(day, answer.zone)]
    lines += ["", _folded(seasons_sentence(answer))]
    lines += [
        _folded(say("Rests on position {place}.", place=error_text(answer.place))),
        _folded(_limits(answer)),
    ]
    return "\n".join(lines)


def _limits(answer: SkylineAnswer) -> str:
    known = answer.trees is not None or bool(answer.readings)
    return f"{say(_WOOD_IN_IT) if known else say(_NOT_IN_IT)} {say(CAUTION)}"


def _head(answer: SkylineAnswer) -> Iterator[str]:
    if answer.flat:
        yield say(
            "{basis}{basis_2}: `terrain add` puts ground on record.",
            basis=answer.basis[0].upper(),
            basis_2=answer.basis[1:],
        )
        return
    highest = answer.blockers[-1]
    yield say("From {basis}.", basis=answer.basis)
    yield say("The highest is {blocker}.", blocker=blocker_words(highest))
    near = [each.point for each in answer.blockers if each.near and each.point != "highest"]
    if near:
        yield (
            say(
                "Nearer than three cells, so measure it yourself: {near} "
                "(--measure says where exactly).",
                near=", ".join(near),
            )
        )
    if answer.readings:
        share = answer.comes_from.count("measured") / len(answer.comes_from)
        yield (
            say(
                "{readings} measured by hand, which rule over {share:.0f}° of it.",
                readings=say_n("{number:,} edge", "{number:,} edges", len(answer.readings)),
                share=360.0 * share,
            )
            if len(answer.readings) > 1
            else say(
                "{readings} measured by hand, which rules over {share:.0f}° of it.",
                readings=say_n("{number:,} edge", "{number:,} edges", len(answer.readings)),
                share=360.0 * share,
            )
        )
        step = len(answer.comes_from) / 360.0
        below = sum(
            answer.comes_from[round(each.azimuth.true_deg * step) % len(answer.comes_from)]
            != "measured"
            for each in answer.readings
        )
        if below:
            yield (
                say(
                    "{below} below what the terrain has there, so without effect; read "
                    "again and added with --replaces, it would rule.",
                    below=say_n("{number:,} reading", "{number:,} readings", below),
                )
            )
    if answer.trees is not None:
        yield say(
            "Trees {trees}; without leaves the sun comes through {branches}.",
            trees=trees_words(answer.trees),
            branches=say(BRANCHES),
        )
    yield from map(sky_view_sentence, answer.sky_views)


def sky_view_sentence(view: SkyView) -> str:
    """'The sky gives level ground there 76 % of what it gives in the open, 0.4 stop less; …'."""
    share, stops = _left(view.level, view.level_doubt_stops)
    said = say(
        "The sky gives level ground there {share} of what it gives in the open, {stops}",
        share=share,
        stops=stops,
    )
    if view.months:
        then = ", ".join(month_abbr[month] for month in view.months)
        taken = trees_take_words(view.canopy_stops, view.canopy_doubt_stops)
        said = say(
            "In {then}, with {taken}, {said}{said_2}",
            then=then,
            taken=taken,
            said=said[0].lower(),
            said_2=said[1:],
        )
    if view.face is None:
        return f"{said}."
    share, stops = _left(view.face / _OPEN_UPRIGHT, view.face_doubt_stops or 0.0)
    return say(
        "{said}; its upright face {share}, {stops} ({face}).",
        said=said,
        share=share,
        stops=stops,
        face=view.face_words,
    )


def _left(share: float, doubt_stops: float) -> tuple[str, str]:
    """('76 %', '0.4 stop less')."""
    lost = -log2(max(share, 0.01))
    if lost < 0.05:
        return f"{100.0 * share:.0f} %", say("no less")
    plus_minus = f" ± {doubt_stops:.1f}" if doubt_stops >= 0.05 else ""
    several = "s" if lost >= 1.05 or plus_minus else ""
    return f"{100.0 * share:.0f} %", say(
        "{lost:.1f}{plus_minus} stop{several} less",
        lost=lost,
        plus_minus=plus_minus,
        several=several,
    )


def blocker_words(blocker: Blocker) -> str:
    """'the ground 1.4 km away at 212°, 17° up ± 1°'."""
    what = say("the open horizon") if blocker.distance_m is None else say("the ground")
    if blocker.comes_from == "measured":
        what = say("the edge measured by hand")
    elif blocker.comes_from == "trees":
        what = say("tree-tops")
    away = (
        ""
        if blocker.distance_m is None
        else say(" {distance} away", distance=metres_text(blocker.distance_m))
    )
    error = "" if blocker.error_deg is None else f" ± {_tenths(blocker.error_deg)}°"
    height = _tenths(blocker.altitude_deg)
    return say(
        "{what}{away} at {azimuth}, {height}° up{error}",
        what=what,
        away=away,
        azimuth=degrees_text(blocker.azimuth_deg),
        height=height,
        error=error,
    )


def _blockers(answer: SkylineAnswer) -> str:
    rows = [
        [
            each.point,
            f"{_tenths(each.altitude_deg)}°",
            "" if each.error_deg is None else _tenths(each.error_deg),
            _away(each),
            "" if each.comes_from == "plain" else each.comes_from,
            say("measure this") if each.near else "",
        ]
        for each in answer.blockers
        if each.point != "highest"
    ]
    head = [say("towards"), say("up"), "± °", say("what blocks is"), say("from"), ""]
    return table(head, rows, right=[1, 2, 3])


def _away(blocker: Blocker) -> str:
    if blocker.distance_m is None:
        return say("not known") if blocker.comes_from == "measured" else say("open")
    return metres_text(blocker.distance_m)


def sun_of_day_lines(day: SunOfDay, zone: str) -> Iterator[str]:
    """First and last sun of each appearance on a day, and what they come over."""
    yield f"{day_words(day.day)}: {_times(day, zone)}"
    for appearance in day.appearances:
        for verb, blocker in (
            (say("comes over"), appearance.comes_over),
            (say("goes behind"), appearance.goes_behind),
        ):
            if blocker is not None and (
                blocker.distance_m is not None or blocker.comes_from == "measured"
            ):
                near = say("; nearer than three cells: measure this") if blocker.near else ""
                yield _folded(f"{verb} {blocker_words(blocker)}{near}", "  ")
    through = branch_times(day, zone)
    if through:
        yield _folded(
            say(
                "sun through leafless branches {through}, {branches}",
                through=through,
                branches=say(BRANCHES),
            ),
            "  ",
        )


def branch_times(day: SunOfDay, zone: str) -> str:
    """'about 12:04 to 13:20, 15:00 to 15:12', '' where no branches stand before the sun."""
    spans, start = [], None
    for index, behind in enumerate((*day.through_branches, False)):
        if behind and start is None:
            start = index
        elif not behind and start is not None:
            first, last = day.time[start], day.time[index - 1]
            spans.append(
                say("{first} to {last}", first=clock_text(first, zone), last=clock_text(last, zone))
            )
            start = None
    return say("about ") + ", ".join(spans) if spans else ""


def _times(day: SunOfDay, zone: str) -> str:
    if not day.appearances:
        return say("no sun all day")
    return ", ".join(
        say(
            "{start} to {end}",
            start=_clock(a.start, zone, a.start_plus_minus_min),
            end=_clock(a.end, zone, a.end_plus_minus_min),
        )
        for a in day.appearances
    )


def _clock(when: datetime, zone: str, plus_minus_min: float | None) -> str:
    shown = clock_text(when, zone)
    return shown if plus_minus_min is None else f"{shown} ± {plus_minus_min:.0f} min"


def seasons_sentence(answer: SkylineAnswer) -> str:
    """'The sun reaches here from 3 March ± 2 days to 9 October ± 3 days.'

    A season that runs over the end of the year looked at is said to go on, not to end there.
    """
    return seasons_words(answer.seasons, answer.year_from)


def seasons_words(seasons: Sequence[Season], year_from: date) -> str:
    """The seasons of the year from a day on, in a sentence."""
    last = year_from + timedelta(days=YEAR_DAYS - 1)
    if not seasons:
        return say("The sun does not reach here on any day of the coming year.")
    said = []
    for season in seasons:
        now, goes_on = season.first == year_from, season.last == last
        if now and goes_on:
            doubt = season.days_in_doubt
            but = (
                say(
                    "; on {doubt} it may not come at all",
                    doubt=say_n("{number:,} day", "{number:,} days", doubt),
                )
                if doubt
                else ""
            )
            return say(
                "The sun reaches here on every day of the year, on clear days{but}.", but=but
            )
        begins = say("now") if now else _day_off(season.first, season.first_plus_minus_days)
        ends = _day_off(season.last, season.last_plus_minus_days)
        said.append(
            say("from {begins} ", begins=begins)
            + (say("onwards") if goes_on else say("to {ends}", ends=ends))
        )
    return say("The sun reaches here {said}, on clear days.", said=say(" and ").join(said))


def _day_off(day: date, plus_minus_days: int | None) -> str:
    """'3 Mar 2027 ± 2 days'."""
    if not plus_minus_days:
        return day_words(day)
    return f"{day_words(day)} ± {say_n('{number:,} day', '{number:,} days', plus_minus_days)}"


def day_words(day: date) -> str:
    return f"{day.day} {short_month(day)} {day.year}"


# ---------------------------------------------------------------- the strip of characters


def _strip(answer: SkylineAnswer) -> Iterator[str]:
    """Azimuth across from north round to north, degrees up; the days' sun over it."""
    skyline = answer.skyline
    per_column = 360.0 / _COLUMNS
    heights, marks, ground = [], [], []
    for column in range(_COLUMNS):
        inside = [
            i
            for i, azimuth in enumerate(skyline.azimuth_deg)
            if column * per_column <= azimuth < (column + 1) * per_column
        ]
        top = max(inside, key=lambda i: float(skyline.altitude_deg[i]))
        heights.append(float(skyline.altitude_deg[top]))
        marks.append(_MARK_OF.get(answer.comes_from[top], _GROUND))
        bare = answer.ground_deg if answer.ground_deg is not None else skyline.altitude_deg
        ground.append(max(float(bare[i]) for i in inside))
    suns = [float(day.altitude_deg.max(initial=5.0)) for day in answer.days]
    per_row = max(*heights, *suns, 10.0) / _ROWS
    grid = []
    for row in range(_ROWS):
        middle = (row + 0.5) * per_row
        grid.append(
            [
                " "
                if heights[c] < middle
                else _GROUND
                if marks[c] == _TREES and ground[c] >= middle
                else marks[c]
                for c in range(_COLUMNS)
            ]
        )
    # the first day is drawn last, over the others
    for sun, day in reversed(list(zip(_SUNS, answer.days, strict=False))):
        for azimuth, altitude, on in zip(
            day.azimuth_deg, day.altitude_deg, day.on_place, strict=True
        ):
            row, column = int(altitude / per_row), int(azimuth / per_column) % _COLUMNS
            if 0 <= row < _ROWS and altitude >= 0.0:
                grid[row][column] = sun if on else _HIDDEN
    for row in range(_ROWS - 1, -1, -1):
        yield f"{(row + 0.5) * per_row:3.0f}° {''.join(grid[row])}".rstrip()
    yield "     " + "".join(point.ljust(_COLUMNS // 16) for point in _POINTS).rstrip()
    shown = ", ".join(
        f"{sun} {day_words(day.day)}" for sun, day in zip(_SUNS, answer.days, strict=False)
    )
    yield say("     sun on the place: {shown}; {hidden} not on it", shown=shown, hidden=_HIDDEN)
    kinds = {_TREES: say("trees"), _MEASURED: say("measured by hand")}
    used = [f"{mark} {kinds[mark]}" for mark in kinds if mark in marks]
    if used:
        yield say("     {ground} ground, {used}", ground=_GROUND, used=", ".join(used))


def hour_marks(day: SunOfDay, zone: str) -> Iterator[tuple[int, str]]:
    """Index and clock of the first step of each full hour along a day's way."""
    before: int | None = None
    for index, when in enumerate(day.time):
        hour = local(when, zone).hour
        if before is not None and hour != before:
            yield index, f"{hour:02d}"
        before = hour


def _tenths(angle_deg: float) -> str:
    shown = f"{angle_deg:z.1f}" if abs(angle_deg) < 10.0 else f"{angle_deg:.0f}"
    return shown.replace("-", "−")


def _folded(sentence: str, indent: str = "") -> str:
    return fill(clean(sentence), _WIDE, initial_indent=indent, subsequent_indent=indent + "  ")
