"""Where and when each line of field notes was written: by coordinate, waypoint, or track."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING, cast

from backbearing.errors import BackbearingError, BadInput, NotFound
from backbearing.notebook.names import name_key
from backbearing.plans.locate import Located, locate, with_error
from backbearing.plans.notes.cameras import camera_of_record
from backbearing.plans.pinning import Pinned, TrackShelf, pin

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.readers.notes import NoteLine
    from backbearing.records import CameraPosition, Note, Place, SkyOpenness, Subject

_ANY_ZONE = timedelta(hours=15)  # no clock is farther from UTC than 14 hours
MIDDAY = time(12)  # of a note whose clock time is not known


@dataclass(slots=True, kw_only=True)
class Reading:
    """What is known while the lines are gone through, those before them included.

    subjects: by the key of their name; one made by an earlier line has no number yet.
    notes: on record before the first line, by their text. cameras: likewise, by their number.
    sea_clocks: the clocks that times were read by for want of a zone setting, at sea.
    """

    notebook: Notebook
    shelf: TrackShelf
    file_name: str
    now: datetime
    subjects: dict[str, Subject]
    camera_names: dict[str, set[str]] = field(default_factory=dict)
    notes: dict[str, list[Note]] = field(default_factory=dict)
    cameras: dict[int | None, list[CameraPosition]] = field(default_factory=dict)
    sea_clocks: set[str] = field(default_factory=set)

    def known_note(self, line: NoteLine, written_at: datetime) -> Note | None:
        """The note on record that is this very line; one without a place may have been dated
        by another clock, one without a day by its import.
        """
        for note in self.notes.get(line.text, ()):
            if note.written_at == written_at:
                return note
            if line.day is None:
                if note.source.startswith(f"{self.file_name}, line "):
                    return note
            elif "unplaced" in note.observed and abs(note.written_at - written_at) < _ANY_ZONE:
                return note
        return None

    def corrected_camera(
        self, line: NoteLine, subject: Subject, written_at: datetime, source: str
    ) -> CameraPosition | None:
        """The camera position that a record on file of this subject and minute had put there."""
        from backbearing.places.zones import zone_name

        if not line.first("time") or not any(
            note.subject_id == subject.id
            and note.written_at == written_at
            and ", line " in note.source
            for notes in self.notes.values()
            for note in notes
        ):
            return None
        place = subject.place
        zone = zone_name(place.latitude_deg, place.longitude_deg, self.shelf.zone_setting)
        cameras = self.cameras.get(subject.id, ())
        return camera_of_record(cameras, subject, written_at, zone, source=source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where and when a record was made; `missing` says what stands in the way of a place."""

    place: Place | None = None
    when: datetime | None = None
    missing: str = ""


def start_reading(notebook: Notebook, file_name: str, now: datetime) -> Reading:
    """What the notebook knows before the first line."""
    from backbearing.notebook.subjects import list_camera_positions, list_notes, list_subjects

    subjects = {name_key(s.name) or "": s for s in list_subjects(notebook)}
    keys = {subject.id: key for key, subject in subjects.items()}
    names: dict[str, set[str]] = {}
    cameras: dict[int | None, list[CameraPosition]] = {}
    for camera in list_camera_positions(notebook):
        cameras.setdefault(camera.subject_id, []).append(camera)
        if camera.subject_id in keys:
            names.setdefault(keys[camera.subject_id], set()).add(name_key(camera.name) or "")
    notes: dict[str, list[Note]] = {}
    for note in list_notes(notebook):
        notes.setdefault(note.text, []).append(note)
    return Reading(
        notebook=notebook,
        shelf=TrackShelf(notebook),
        file_name=file_name,
        now=now,
        subjects=subjects,
        camera_names=names,
        notes=notes,
        cameras=cameras,
    )


def find_spot(reading: Reading, line: NoteLine, problems: list[str], assumed: list[str]) -> Spot:
    """Answer where a record was made: its coordinate, else its waypoint, else its time.

    What cannot be used goes to `problems`, what is taken for granted to `assumed`.
    """
    sky = cast("SkyOpenness | None", line.first("sky") or None)
    error_m = _error_m(line, problems)
    on_track, missing = _on_track(reading, line, assumed)
    when = on_track.when if on_track else None
    for item, text in (
        ("coordinate", line.first("coordinate")),
        ("waypoint", line.first("waypoint") and f"wpt {line.first('waypoint')}"),
    ):
        if not text:
            continue
        try:
            found = locate(reading.notebook, text, sky=sky, error_m=error_m, on=line.day)
        except (BadInput, NotFound) as error:
            problems.append(f"{item}: {_without_where(error)}")
            missing = missing or f"the {item} cannot be used"
            continue
        made = _instant_of_waypoint(reading, line, found, problems)
        return Spot(place=found.place, when=when or made)
    if on_track:
        return Spot(place=with_error(on_track.place, sky=sky, error_m=error_m), when=when)
    return Spot(missing=missing or "no time, waypoint or coordinate stands in it")


def _without_where(error: BackbearingError) -> str:
    return f"{error.what}; {error.remedy}" if error.remedy else error.what


def _instant_of_waypoint(
    reading: Reading, line: NoteLine, found: Located, problems: list[str]
) -> datetime | None:
    """The waypoint's own time where the line has none; one of another day is pointed out."""
    from backbearing.places.zones import local, zone_name

    if found.when is None or line.day is None:
        return found.when
    place, setting = found.place, reading.shelf.zone_setting
    there = local(found.when, zone_name(place.latitude_deg, place.longitude_deg, setting))
    if there.date() != line.day:
        problems.append(f"waypoint {found.name} was made on {there:%Y-%m-%d}, not on {line.day}")
        return None
    return None if line.first("time") else found.when


def _error_m(line: NoteLine, problems: list[str]) -> float | None:
    from backbearing.places.lengths import read_length

    text = line.first("position error")
    try:
        return read_length(text, where="position error") if text else None
    except BadInput as error:
        problems.append(str(error))
        return None


def _on_track(reading: Reading, line: NoteLine, assumed: list[str]) -> tuple[Pinned | None, str]:
    """Where the tracks say one was, or what is missing for that."""
    if not line.first("time"):
        return None, ""
    clock = time.fromisoformat(line.first("time"))
    track_id = int(line.first("track")) if line.first("track") else None
    try:
        found = pin(
            reading.shelf,
            clock,
            day=line.day,
            track_id=track_id,
            to_the_second=clock.second != 0,
        )
    except BadInput as error:
        if line.day is None:
            return None, "several tracks cover that time; write the day in a line above it"
        return None, _without_where(error)
    if found is None:
        day = f" on {line.day.isoformat()}" if line.day else ""
        which = f"track {track_id} does not cover" if track_id is not None else "no track covers"
        return None, f"{which} {clock:%H:%M}{day}"
    _look_at_clock(reading, found.zone)
    if line.day is None:
        assumed.append(f"the day taken from track {found.track_id}, which covers the time")
    return found, ""


def _look_at_clock(reading: Reading, zone: str) -> None:
    from backbearing.places.zones import clock_name

    if reading.shelf.zone_setting is None and zone.startswith("Etc/"):
        reading.sea_clocks.add(clock_name(zone))


def written_at(
    reading: Reading, line: NoteLine, spot: Spot, place: Place | None, assumed: list[str]
) -> datetime:
    """When a record was made: on its track, else by its day and clock, else now.

    Without a track the clock is that of `place`, else of the notebook's zone setting, else UTC;
    what had to be taken for granted goes to `assumed`.
    """
    from backbearing.places.zones import zone, zone_name

    if spot.when is not None:
        return spot.when
    if line.day is None:
        if line.first("time") or line.first("subject"):
            assumed.append("no day stands in it or above it: dated as of its import")
        return reading.now
    setting = reading.shelf.zone_setting
    name = setting or "UTC"
    if place is not None:
        name = zone_name(place.latitude_deg, place.longitude_deg, setting)
        if line.first("time"):
            _look_at_clock(reading, name)
    elif setting is None and line.first("time"):
        assumed.append("its clock taken as UTC: neither its place nor a zone setting is known")
    clock = time.fromisoformat(line.first("time")) if line.first("time") else MIDDAY
    try:
        return datetime.combine(line.day, clock, zone(name)).astimezone(UTC)
    except (OverflowError, BadInput):
        return reading.now


def how_to_place(line: NoteLine, name: str, missing: str) -> str:
    """What to do about a record without a place, with a command to paste."""
    from shlex import quote

    timed = bool(line.first("time") and line.day and not line.first("coordinate"))
    at = (
        quote(f"{line.day.isoformat()} {line.first('time')[:5]}") if timed and line.day else "PLACE"
    )
    options = "".join(
        f" --{option} {quote(value)}"
        for option, value in (
            ("bearing", line.first("bearing")),
            ("distance", line.first("distance")),
            ("measured", line.first("measured")),
            ("top", line.first("top")),
            ("foot", line.first("foot")),
        )
        if value
    )
    first = "import the track of that day, then" if timed else "find its place, then"
    return f"{missing}; {first}: backbearing mark {quote(name)} --at {at}{options}"
