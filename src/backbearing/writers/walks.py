"""Past walks in words: the list, and one walk in full."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import metres_text, whole_error_m
from backbearing.places.zones import clock_name, clock_text, local
from backbearing.writers.text import clean, table
from backbearing.writers.words import duration_text

if TYPE_CHECKING:
    from backbearing.plans.walks import WalkAnswer, WalkList

SUSPECTS_SHOWN = 5


def walks_text(answer: WalkList) -> str:
    """The list of walks, one a line; '' where there is none."""
    if not answer.walks:
        return ""
    head = ["track", "day", "from", "to", "length", "up", "moving", "suspect", "name"]
    right = [0, 4, 5, 6, 7]
    if answer.near is not None:
        head.insert(8, "nearest")
        right.append(8)
    rows = []
    for walk in answer.walks:
        summary = walk.track.summary
        row = [
            str(walk.track.id),
            _day(summary.started, walk.zone) if summary.started else "no times",
            _clock(summary.started, walk.zone),
            _clock(summary.ended, walk.zone),
            metres_text(summary.length_m),
            _metres(summary.ascent_m),
            duration_text(summary.moving_s),
            str(summary.suspect_fixes or "–"),
            walk.track.name or walk.track.file_name,
        ]
        if walk.near_m is not None:
            row.insert(8, metres_text(walk.near_m))
        rows.append(row)
    return table(head, rows, right=right)


def walk_text(answer: WalkAnswer) -> str:
    """One walk: its figures each with its method, stops, gaps, suspect fixes, subjects passed."""
    track, summary, zone = answer.track, answer.track.summary, answer.zone
    lines = [clean(f"track {track.id}  {track.name}  ({track.file_name})")]
    if summary.started and summary.ended:
        end = summary.ended
        last = "" if _day(summary.started, zone) == _day(end, zone) else f"{_day(end, zone)} "
        lines.append(
            f"{_day(summary.started, zone)}, {_clock(summary.started, zone)} to "
            f"{last}{_clock(end, zone, abbreviation=True)}{_named(zone)}"
        )
    lines += [clean(text) for text in (track.comment, track.description) if text]
    lines += [f"note: {clean(doubt)}" for doubt in answer.doubts]
    figures = [("length", metres_text(summary.length_m), answer.length_method)]
    if summary.ascent_m is not None and summary.descent_m is not None:
        climb = f"up {summary.ascent_m:.0f} m, down {summary.descent_m:.0f} m"
        figures.append(("climb", climb, answer.climb_method))
    if summary.moving_s is not None:
        took = (
            f"moving {duration_text(summary.moving_s)}, "
            f"standing {duration_text(summary.standing_s)}"
        )
        figures.append(("time", took, answer.moving_method))
    lines += ["", *(f"{name:<8}{value}  ({method})" for name, value, method in figures)]
    parts = f"{summary.points:,} in {track.segments} segment{'' if track.segments == 1 else 's'}"
    lines.append(f"{'fixes':<8}{parts}")
    for section in (_stops(answer), _gaps(answer), _suspects(answer), _passed(answer)):
        lines += ["", *section] if section else []
    return "\n".join(lines)


def _stops(answer: WalkAnswer) -> list[str]:
    if not answer.stops:
        return []
    rows = [
        (
            _clock(stop.start, answer.zone),
            _clock(stop.end, answer.zone),
            duration_text((stop.end - stop.start).total_seconds()),
            decimal_text(stop.latitude_deg, stop.longitude_deg),
            str(whole_error_m(stop.error_m)),
            str(stop.fixes),
        )
        for stop in answer.stops
    ]
    head = ("from", "to", "for", "latitude, longitude", "± m", "fixes")
    return [f"stops  ({answer.stop_method})", table(head, rows, right=(2, 4, 5))]


def _gaps(answer: WalkAnswer) -> list[str]:
    if not answer.gaps:
        return []
    rows = [
        (
            _clock(gap.start, answer.zone),
            _clock(gap.end, answer.zone),
            _silence(gap.start, gap.end),
            metres_text(gap.distance_m),
            "between segments" if gap.between_segments else "no fix came",
        )
        for gap in answer.gaps
    ]
    head = ("from", "to", "for", "apart", "why")
    return ["gaps  (not bridged)", table(head, rows, right=(2, 3))]


def _silence(start: datetime | None, end: datetime | None) -> str:
    seconds = (end - start).total_seconds() if start and end else None
    return f"{seconds:.0f} s" if seconds is not None and seconds < 60 else duration_text(seconds)


def _suspects(answer: WalkAnswer) -> list[str]:
    count = answer.track.summary.suspect_fixes
    if not count:
        return []
    rows = [
        (
            _clock(fix.when, answer.zone),
            f"fix {fix.fix} of segment {fix.segment}",
            decimal_text(fix.latitude_deg, fix.longitude_deg),
        )
        for fix in answer.suspects[:SUSPECTS_SHOWN]
    ]
    more = f"; the first {SUSPECTS_SHOWN}" if count > SUSPECTS_SHOWN else ""
    return [
        f"suspect fixes  ({count:,}, kept in the track, left out of the figures{more})",
        table(("time", "fix", "latitude, longitude"), rows),
    ]


def _passed(answer: WalkAnswer) -> list[str]:
    within = f"within {metres_text(answer.passed_within_m)}"
    if not answer.passed:
        return [f"no subject passed {within}"]
    rows = [
        (
            passed.name,
            passed.state,
            metres_text(passed.distance_m),
            str(whole_error_m(passed.error_m)),
            _clock(passed.when, answer.zone),
        )
        for passed in answer.passed
    ]
    head = ("subject", "state", "nearest", "± m", "at")
    return [f"subjects passed  ({within} of the walk's line)", table(head, rows, right=(2, 3))]


def _named(zone: str) -> str:
    """The clock's name in brackets, where its offset does not stand for it."""
    name = clock_name(zone)
    return "" if name.startswith("UTC") else f" ({name})"


def _day(instant: datetime, zone: str) -> str:
    return local(instant, zone).date().isoformat()


def _clock(instant: datetime | None, zone: str, *, abbreviation: bool = False) -> str:
    return "–" if instant is None else clock_text(instant, zone, abbreviation=abbreviation)


def _metres(metres: float | None) -> str:
    return "–" if metres is None else f"{metres:.0f} m"
