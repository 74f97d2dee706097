"""Where was one at a time? The track that covers it says so, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from math import hypot
from typing import TYPE_CHECKING

from backbearing.errors import BadInput
from backbearing.plans.walks import walk_zone

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.notebook import Notebook
    from backbearing.records import Place, Stop, StoredTrack, Track


@dataclass(frozen=True, slots=True, kw_only=True)
class Pinned:
    """A place found from a time, with the track, the instant and the zone of the local clock."""

    place: Place
    when: datetime  # UTC
    track_id: int
    zone: str


class TrackShelf:
    """The tracks of a notebook, listed once and loaded only where a time falls into one."""

    def __init__(self, notebook: Notebook) -> None:
        from backbearing.notebook.settings import get_setting
        from backbearing.notebook.tracks import list_tracks

        self.notebook = notebook
        self.zone_setting = get_setting(notebook, "zone")
        self.listed = [t for t in list_tracks(notebook) if t.summary.started and t.summary.ended]
        self._loaded: dict[int, tuple[Track, list[Stop]]] = {}

    def zone_name(self, track: StoredTrack) -> str:
        """The zone of the clock on that walk (see `walk_zone`)."""
        return walk_zone(track, self.zone_setting)

    def place_at(self, track: StoredTrack, when: datetime, *, to_the_second: bool) -> Place | None:
        """Where that track was at an instant, or in the minute it begins; None if not covered."""
        from backbearing.models.walk import find_stops, position_at

        if not _covers(track, when, slack_s=0 if to_the_second else 60):
            return None
        if track.id not in self._loaded:
            from backbearing.notebook.tracks import load_track

            loaded = load_track(self.notebook, track.id)
            self._loaded[track.id] = (loaded, find_stops(loaded))
        fixes, stops = self._loaded[track.id]
        seconds = (0,) if to_the_second else (30, 0, 59)
        places = [position_at(fixes, when + timedelta(seconds=s), stops=stops) for s in seconds]
        return places[0] if to_the_second else _within_minute(places)


def _covers(track: StoredTrack, when: datetime, slack_s: float) -> bool:
    started, ended = track.summary.started, track.summary.ended
    slack = timedelta(seconds=slack_s)
    return started is not None and ended is not None and started - slack <= when <= ended


def _within_minute(places: list[Place | None]) -> Place | None:
    """One place for a time written to the minute, from its middle, start and end.

    At a stop it is the stop, also where the minute only touches one: a record is written
    standing. Else the walk of half a minute is added to the error.
    """
    found = [p for p in places if p is not None]
    if not found:
        return None
    stop = next((p for p in found if "stop" in p.error_basis), None)
    if stop is not None:
        return stop
    middle = found[0]
    walked_m = max(_apart_m(middle, p) for p in found)
    return replace(
        middle,
        error_m=hypot(middle.error_m, walked_m),
        error_basis=f"{middle.error_basis}, and {walked_m:.0f} m walked in half a minute",
    )


def _apart_m(one: Place, other: Place) -> float:
    from backbearing.places.geodesy import inverse

    return float(
        inverse(one.latitude_deg, one.longitude_deg, other.latitude_deg, other.longitude_deg)[1]
    )


def pin(
    shelf: TrackShelf,
    clock: time,
    *,
    day: date | None = None,
    zone: tzinfo | None = None,
    track_id: int | None = None,
    to_the_second: bool = False,
) -> Pinned | None:
    """Answer where one was at a clock time; None where no track covers it.

    day: the local day; None tries the days the track named by `track_id` went over.
    zone: the zone the clock was in; None takes that of each track.
    to_the_second: False where only the minute was written.

    Raises BadInput where two tracks cover the time and are not at one place.
    """
    found = list(_pins(shelf, clock, day, zone, track_id, to_the_second))
    if not found:
        return None
    best = min(found, key=lambda p: (p.place.error_m, p.track_id))
    for other in found:
        apart_m = _apart_m(best.place, other.place)
        # two receivers on one walk agree to within both errors; floor as in open sky
        if apart_m > max(20.0, best.place.error_m + other.place.error_m):
            raise BadInput(
                f"tracks {best.track_id} and {other.track_id} both cover {clock:%H:%M} and are "
                f"{apart_m:.0f} m apart",
                where="time",
                remedy=f"name the track, as in 'track {best.track_id} at {clock:%H:%M}'",
            )
    return best


def silence_words(
    shelf: TrackShelf,
    clock: time,
    *,
    day: date | None = None,
    zone: tzinfo | None = None,
    track_id: int | None = None,
) -> str:
    """Why no place was found where a track was under way: "track 1 is silent from 11:01 to 13:20".

    Arguments as for `pin`; '' where no track was under way then.
    """
    from backbearing.models.walk import find_gaps
    from backbearing.notebook.tracks import load_track
    from backbearing.places.zones import clock_text
    from backbearing.places.zones import zone as zone_of_name

    for track in shelf.listed:
        if track_id is not None and track.id != track_id:
            continue
        name = shelf.zone_name(track)
        for when in _instants(track, clock, day, zone or zone_of_name(name)):
            if not _covers(track, when, slack_s=0):
                continue
            for gap in find_gaps(load_track(shelf.notebook, track.id)):
                if gap.start and gap.end and gap.start <= when <= gap.end:
                    until = clock_text(gap.end, name, abbreviation=True)
                    return (
                        f"track {track.id} is silent from {clock_text(gap.start, name)} to {until}"
                    )
            return f"track {track.id} is silent then"
    return ""


def _pins(
    shelf: TrackShelf,
    clock: time,
    day: date | None,
    zone: tzinfo | None,
    track_id: int | None,
    to_the_second: bool,
) -> Iterator[Pinned]:
    from backbearing.places.zones import clock_text
    from backbearing.places.zones import zone as zone_of_name

    for track in shelf.listed:
        if track_id is not None and track.id != track_id:
            continue
        name = shelf.zone_name(track)
        local = zone or zone_of_name(name)
        for when in _instants(track, clock, day, local):
            place = shelf.place_at(track, when, to_the_second=to_the_second)
            if place is not None:
                source = f"track {track.id} at {clock_text(when, name, abbreviation=True)}"
                place = replace(place, source=source)
                yield Pinned(place=place, when=when, track_id=track.id, zone=name)
                break


def _instants(
    track: StoredTrack, clock: time, day: date | None, zone: tzinfo
) -> Iterator[datetime]:
    """Every instant that clock may mean on that track: each day it went over, both summer times."""
    if track.summary.started is None or track.summary.ended is None:
        return
    try:
        first = track.summary.started.astimezone(zone).date()
        last = track.summary.ended.astimezone(zone).date()
    except OverflowError:  # stamped at the very end of the calendar
        return
    if day is not None:
        days = [day]
    else:
        # a track stamped with absurd years is no reason to try a million days
        days = [first + timedelta(days=n) for n in range(min((last - first).days, 366) + 1)]
    for each in days:
        try:
            early = datetime.combine(each, clock, zone).astimezone(UTC)
            late = datetime.combine(each, clock, zone).replace(fold=1).astimezone(UTC)
        except OverflowError:
            continue
        yield early
        if late != early:
            yield late
