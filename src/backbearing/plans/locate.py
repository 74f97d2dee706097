"""Which place do these words mean? A coordinate, a name on record, a time on a track, an offset.

46.5321 N 8.0123 E                a coordinate, as `places.coordinates` reads it
winding house                     a subject's name, or a passage's
wpt 012        012        wpt #7  a waypoint by name, alone where unique, or by its number
track 3 at 14:32                  where that track was; the clock is the local one there
2026-03-14 14:32                  the same on whatever track covers it
PLACE + 215M 8m                   from any of these, by bearing and distance
215M 8m from PLACE                the same
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import date, datetime
from math import hypot, sqrt
from typing import TYPE_CHECKING

from backbearing.errors import BackbearingError, BadInput, NotFound, quoted
from backbearing.notebook.names import name_key
from backbearing.places.clocks import CLOCK, read_clock, read_day, split_day_and_clock
from backbearing.records import POSITION_ERROR_M, Passage, Place, SkyOpenness, Subject, Waypoint

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.pinning import TrackShelf

BEARING = r"(?:\d{1,3}(?:[.]\d+)?\s*°?\s*(?:M|T|mag(?:netic)?|true)?|[NSEW]{1,3})"
LENGTH = (
    r"(?:\d+(?:[.]\d+)?\s*"
    r"(?:m|km|cm|ft|yd|mi|met(?:re|er)s?|feet|foot|yards?|miles?|paces)?)"
)
_OFFSET_AFTER = re.compile(rf"({BEARING})\s*,?\s+({LENGTH})", re.IGNORECASE)
_OFFSET_BEFORE = re.compile(rf"({BEARING})\s*,?\s+({LENGTH})\s+from\s+(.+)", re.IGNORECASE)
_ON_TRACK = re.compile(r"track\s+#?(\d{1,9})\s+(?:at|@)\s+(.+)", re.IGNORECASE)
_WAYPOINT = re.compile(r"(?:wpt|waypoint)\s+(.+)", re.IGNORECASE)
_CLOCK_ONLY = re.compile(rf"(?P<clock>{CLOCK})", re.IGNORECASE | re.ASCII)

_MOST_OFFSETS = 8  # more than anybody chains; bounds the recursion on hostile text


@dataclass(frozen=True, slots=True, kw_only=True)
class Located:
    """A place with the name it goes by and, where it is one, the subject on record there.

    when: the instant that pinned it (a time on a track, a waypoint's own time), else None.
    """

    place: Place
    name: str
    subject: Subject | None = None
    when: datetime | None = None


def locate(
    notebook: Notebook | None,
    text: str,
    *,
    sky: SkyOpenness | None = None,
    error_m: float | None = None,
    on: date | None = None,
) -> Located:
    """Answer which place a text means.

    notebook: where names and tracks are looked up; None where only coordinates will do.
    sky, error_m: how open the sky was there, or the 95 % radius [m]; without either the place's
        own error stands, or one is assumed and its basis says so.
    on: the day on which magnetic bearings in the text were taken; default today.

    Raises BadInput where a part cannot be read or means several places, NotFound where nothing
    of that name is on record (the nearest name is suggested).
    """
    written = " ".join(text.split())
    if not written:
        raise BadInput("no place given", where="place", remedy="give a coordinate or a name")
    return _located(notebook, written, sky, error_m, on, 0)


def _located(
    notebook: Notebook | None,
    text: str,
    sky: SkyOpenness | None,
    error_m: float | None,
    on: date | None,
    depth: int,
) -> Located:
    if depth > _MOST_OFFSETS:
        raise BadInput(
            f"more than {_MOST_OFFSETS} offsets", where=f"place {quoted(text)}", remedy="use fewer"
        )
    if notebook is not None:
        subject = _subject_of_name(notebook, text)
        if subject is not None:
            place = with_error(subject.place, sky=sky, error_m=error_m)
            place = replace(place, source=f"subject {subject.name}")
            return Located(place=place, name=subject.name, subject=subject)

    split = _split_offset(text)
    if split is not None:
        base_text, bearing_text, length_text = split
        base = _located(notebook, base_text, sky, error_m, on, depth + 1)
        return _moved(base, text, bearing_text, length_text, on)

    from backbearing.places.coordinates import looks_like_coordinate, read_coordinate

    on_track = _ON_TRACK.fullmatch(text)
    if on_track:
        there = _needs(notebook, text)
        return _at_time(there, on_track[2], int(on_track[1]), sky, error_m)
    named = _WAYPOINT.fullmatch(text)
    if named:
        return _waypoint(_needs(notebook, text), named[1], sky, error_m, on)
    if split_day_and_clock(text, where="place, time"):
        return _at_time(_needs(notebook, text), text, None, sky, error_m)
    found = _waypoints_of_name(notebook, text) if notebook is not None else []
    if len(found) == 1:
        return _at_waypoint(found[0], sky, error_m)
    if found:
        raise _several(text, found)
    if _CLOCK_ONLY.fullmatch(text):
        raise BadInput(
            f"the time {quoted(text)} needs a day or a track",
            where="place",
            remedy=f"write 'track 3 at {text}' or '2026-03-14 {text}'",
        )
    if looks_like_coordinate(text):
        place = read_coordinate(text, where="place", sky=sky, error_m=error_m)
        return Located(place=place, name=text)
    passage = _passage_of_name(notebook, text) if notebook is not None else None
    if passage is not None:
        place = with_error(passage.place, sky=sky, error_m=error_m)
        return Located(place=replace(place, source=f"passage {passage.name}"), name=passage.name)
    raise _nothing_of_that_name(_needs(notebook, text), text)


def _needs(notebook: Notebook | None, text: str) -> Notebook:
    if notebook is None:
        raise NotFound(
            f"{quoted(text)} is not a coordinate, and there is no notebook to look names up in",
            where="place",
            remedy="write it as 46.5321 N 8.0123 E, or name the notebook with --notebook",
        )
    return notebook


def means_a_place(text: str) -> bool:
    """Whether a text reads as a place whatever is on record: then it is no name for a subject.

    A coordinate, an offset, a waypoint by that word, a time on a track.
    """
    from backbearing.places.coordinates import read_coordinate

    if any(form.fullmatch(text) for form in (_ON_TRACK, _WAYPOINT)) or _split_offset(text):
        return True
    if text.lower().startswith("geo:"):
        return True
    try:
        return split_day_and_clock(text, where="place") is not None or bool(read_coordinate(text))
    except BackbearingError:
        return False


# ---------------------------------------------------------------- errors and offsets


def with_error(place: Place, *, sky: SkyOpenness | None, error_m: float | None) -> Place:
    """The place with the error its user states: a radius as given, or one by how open the sky was.

    A sky only ever widens a scatter: fixes under a wall agree with each other and are all wrong
    by the same reflection, so a small scatter there proves nothing. Where open sky had been
    assumed, the sky stated takes its place, and what was walked meanwhile still counts.
    """
    if error_m is not None:
        return replace(place, error_m=error_m, error_basis="given")
    if sky is None:
        return place
    from backbearing.places.coordinates import SKY_WORDS

    assumed, stated_m = SKY_WORDS["open"], POSITION_ERROR_M[sky]
    if place.error_basis.startswith(assumed) and place.error_m >= POSITION_ERROR_M["open"]:
        other_m = sqrt(place.error_m**2 - POSITION_ERROR_M["open"] ** 2)
        return replace(
            place,
            error_m=hypot(other_m, stated_m),
            error_basis=place.error_basis.replace(assumed, SKY_WORDS[sky], 1),
        )
    if stated_m <= place.error_m:
        return place
    return replace(place, error_m=POSITION_ERROR_M[sky], error_basis=SKY_WORDS[sky])


def _split_offset(text: str) -> tuple[str, str, str] | None:
    """(place, bearing, length) where a text moves another place, else None."""
    base, plus, after = text.rpartition(" + ")  # '+21 30' is a longitude with its sign
    if plus and base.strip():
        moved = _OFFSET_AFTER.fullmatch(after.strip())
        if moved and re.search("[A-Za-z]", after):  # a unit, T or M: '21 30' is one too
            return base.strip(), moved[1], moved[2]
    before = _OFFSET_BEFORE.fullmatch(text)
    return (before[3], before[1], before[2]) if before else None


def _moved(
    base: Located, text: str, bearing_text: str, length_text: str, on: date | None
) -> Located:
    from backbearing.places.bearings import read_bearing
    from backbearing.places.geodesy import offset
    from backbearing.places.lengths import read_length

    bearing = read_bearing(
        bearing_text,
        latitude_deg=base.place.latitude_deg,
        longitude_deg=base.place.longitude_deg,
        height_m=base.place.height_m,
        on=on or (base.when.date() if base.when else today()),
        instrument=None,
        where="place, bearing",
    )
    place = offset(base.place, bearing, read_length(length_text, where="place, distance"))
    return Located(place=place, name=text, when=base.when)


def today() -> date:
    """The local civil day of this machine: when a bearing was taken, where nothing says so."""
    return datetime.now().astimezone().date()


# ---------------------------------------------------------------- names


def _subject_of_name(notebook: Notebook, name: str) -> Subject | None:
    from backbearing.notebook.subjects import list_subjects

    wanted = name_key(name)
    return next((s for s in list_subjects(notebook) if name_key(s.name) == wanted), None)


def _passage_of_name(notebook: Notebook, name: str) -> Passage | None:
    from backbearing.notebook.lines import list_passages

    wanted = name_key(name)
    return next((p for p in list_passages(notebook) if name_key(p.name) == wanted), None)


def _waypoints_of_name(notebook: Notebook, name: str) -> list[Waypoint]:
    """Live waypoints of that name, one for each spot (the same point is often in several files)."""
    from backbearing.notebook.tracks import list_waypoints

    spots: dict[tuple[float, float], Waypoint] = {}
    for waypoint in list_waypoints(notebook):
        if name_key(waypoint.name) == name_key(name):
            # five decimals are a metre: nearer than any fix tells two points apart
            spot = (round(waypoint.latitude_deg, 5), round(waypoint.longitude_deg, 5))
            spots.setdefault(spot, waypoint)
    return list(spots.values())


def _at_waypoint(waypoint: Waypoint, sky: SkyOpenness | None, error_m: float | None) -> Located:
    name = waypoint.name or f"#{waypoint.id}"
    place = Place(
        latitude_deg=waypoint.latitude_deg,
        longitude_deg=waypoint.longitude_deg,
        height_m=waypoint.height_m,
        error_m=0.0,  # a waypoint carries none: the sky's is put in its place
        error_basis="none given",
        source=f"waypoint {name}",
    )
    placed = with_error(place, sky=sky or "open", error_m=error_m)
    return Located(place=placed, name=name, when=waypoint.time)


def _waypoint(
    notebook: Notebook,
    name: str,
    sky: SkyOpenness | None,
    error_m: float | None,
    on: date | None,
) -> Located:
    """The waypoint of a name or number; of several that of the day, as receivers count anew."""
    from backbearing.notebook.tracks import list_waypoints

    found = _waypoints_of_name(notebook, name)
    if not found and re.fullmatch(r"#\d{1,9}", name):
        found = [w for w in list_waypoints(notebook) if w.id == int(name[1:])]
    if len(found) > 1 and on is not None:
        found = [w for w in found if _local_day(notebook, w) == on] or found
    if len(found) == 1:
        return _at_waypoint(found[0], sky, error_m)
    if found:
        raise _several(name, found)
    raise _nothing_of_that_name(notebook, name)


def _local_day(notebook: Notebook, waypoint: Waypoint) -> date | None:
    from backbearing.notebook.settings import get_setting
    from backbearing.places.zones import local, zone_name

    if waypoint.time is None:
        return None
    setting = get_setting(notebook, "zone")
    zone = zone_name(waypoint.latitude_deg, waypoint.longitude_deg, setting)
    return local(waypoint.time, zone).date()


def _several(name: str, found: list[Waypoint]) -> BadInput:
    listed = ", ".join(
        f"#{w.id} at {w.latitude_deg:.5f} {w.longitude_deg:.5f}"
        + (f" of {w.time.date().isoformat()}" if w.time else "")
        for w in found[:5]
    )
    more = f" and {len(found) - 5} more" if len(found) > 5 else ""
    return BadInput(
        f"{len(found)} waypoints are called {quoted(name)}: {listed}{more}",
        where="place",
        remedy=f"choose one by its number, as in 'wpt #{found[0].id}'",
    )


def _nothing_of_that_name(notebook: Notebook, name: str) -> NotFound:
    from difflib import get_close_matches

    from backbearing.notebook.lines import list_passages
    from backbearing.notebook.subjects import list_subjects
    from backbearing.notebook.tracks import list_waypoints

    names = {name_key(s.name) or "": s.name for s in list_subjects(notebook)}
    for waypoint in list_waypoints(notebook):
        if waypoint.name:
            names.setdefault(name_key(waypoint.name) or "", f"wpt {waypoint.name}")
    for passage in list_passages(notebook):
        names.setdefault(name_key(passage.name) or "", passage.name)
    close = get_close_matches(name_key(name) or "", names, n=1)
    remedy = (
        f"did you mean {quoted(names[close[0]])}?"
        if close
        else "see 'backbearing subjects', or give a coordinate such as 46.5321 N 8.0123 E"
    )
    return NotFound(
        f"no subject, waypoint, passage or coordinate {quoted(name)}", where="place", remedy=remedy
    )


# ---------------------------------------------------------------- times on a track


def _at_time(
    notebook: Notebook,
    text: str,
    track_id: int | None,
    sky: SkyOpenness | None,
    error_m: float | None,
) -> Located:
    from backbearing.plans.pinning import TrackShelf, pin, silence_words

    shelf = TrackShelf(notebook)
    if track_id is not None:
        _check_track(shelf, track_id)
    dated = split_day_and_clock(text, where="place, time")
    day = read_day(dated.day, latest=today(), where="place, day") if dated else None
    zone = dated.zone if dated else None
    clock_text = dated.clock if dated else text
    clock = read_clock(clock_text, where="place, time")
    pinned = pin(
        shelf,
        clock,
        day=day,
        zone=zone,
        track_id=track_id,
        to_the_second=clock_text.count(":") == 2,
    )
    if pinned is None:
        on_which = f"track {track_id} does not cover" if track_id is not None else "no track covers"
        silent = silence_words(shelf, clock, day=day, zone=zone, track_id=track_id)
        spans = _spans(shelf, track_id)
        raise NotFound(
            f"{silent}, so where one was at {quoted(text)} is not known"
            if silent
            else f"{on_which} {quoted(text)}" + (f" ({spans})" if spans else ""),
            where="place",
            remedy="see 'backbearing tracks', or give a coordinate or a waypoint",
        )
    place = with_error(pinned.place, sky=sky, error_m=error_m)
    return Located(place=place, name=pinned.place.source, when=pinned.when)


def _check_track(shelf: TrackShelf, track_id: int) -> None:
    from backbearing.notebook.tracks import list_tracks

    if any(t.id == track_id for t in shelf.listed):
        return
    if any(t.id == track_id for t in list_tracks(shelf.notebook)):
        raise BadInput(
            f"track {track_id} carries no times",
            where="place",
            remedy="give a coordinate or a waypoint",
        )
    raise NotFound(
        f"no track {track_id} on record", where="place", remedy="see 'backbearing tracks'"
    )


def _spans(shelf: TrackShelf, track_id: int | None) -> str:
    """From when to when a track goes, for a message; nothing where no track was named."""
    from backbearing.places.zones import local

    for track in shelf.listed:
        if track.id == track_id and track.summary.started and track.summary.ended:
            zone = shelf.zone_name(track)
            started, ended = local(track.summary.started, zone), local(track.summary.ended, zone)
            return f"it runs from {started:%Y-%m-%d %H:%M} to {ended:%Y-%m-%d %H:%M} {zone}"
    return ""
