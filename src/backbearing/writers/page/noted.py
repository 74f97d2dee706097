"""Notes and photos in words: those of a subject, and notes of none."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import metres_text, whole_error_m
from backbearing.places.zones import clock_text, local
from backbearing.saying import say
from backbearing.writers.photos import said_of
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.plans.loosenotes import LooseNote
    from backbearing.plans.photosof import PagePhoto
    from backbearing.records import Note, Place


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteWords:
    """A note, its lines kept, and what was observed."""

    day: str
    lines: tuple[str, ...]
    observed: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoWords:
    """A photo: when, its name, which way and from where; its picture as a data: address, or ''."""

    day: str
    name: str
    said: str
    address: str

    @property
    def alt(self) -> str:
        return say("Photo {name}, {day}", name=self.name, day=self.day) + (
            f", {self.said}" if self.said else ""
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseWords:
    """A note of no subject; with a place it is marked on the map by its number."""

    number: int
    anchor: str
    lines: tuple[str, ...]
    day: str
    source: str
    place: Place | None
    where: str
    missing: str

    @property
    def name(self) -> str:
        return say("note {number}", number=self.number)


def loose_words(each: LooseNote, zone: str, number: int) -> LooseWords:
    """Word a note of no subject; `number` is its own on the page."""
    noted = note_words(each.note, zone)
    place = each.place
    return LooseWords(
        number=number,
        anchor=f"note-{number}",
        lines=noted.lines,
        day=noted.day,
        source=noted.source,
        place=place,
        where=""
        if place is None
        else f"{decimal_text(place.latitude_deg, place.longitude_deg)} "
        f"± {metres_text(whole_error_m(place.error_m))}",
        missing=each.missing,
    )


def photo_words(each: PagePhoto) -> PhotoWords:
    """Word a photo; its picture goes into the page itself, which asks for nothing."""
    from base64 import b64encode

    shown = each.shown
    at = shown.photo.taken_at
    code = b64encode(each.picture).decode("ascii")
    return PhotoWords(
        day=_when(at, shown.zone) if at else say("no time"),
        name=shown.photo.file_name,
        said=", ".join(said_of(shown)),
        address=f"data:image/jpeg;base64,{code}" if code else "",
    )


def note_words(note: Note, zone: str) -> NoteWords:
    """Word a note, what was observed only where its text does not say it."""
    told = note.text.lower()
    more = {
        key: value
        for key, value in sorted(note.observed.items())
        if key not in ("day", "time") and value.lower() not in told
    }
    return NoteWords(
        day=_when(note.written_at, zone),
        lines=tuple(note.text.splitlines()) or ("",),
        observed=", ".join(f"{say(key)}: {say(value)}" for key, value in more.items()),
        source="" if note.source == "typed" else note.source,
    )


def _when(instant: datetime, zone: str) -> str:
    return f"{local_day_text(instant, zone)}, {clock_text(instant, zone, abbreviation=True)}"


def local_day_text(instant: datetime, zone: str) -> str:
    """The day of an instant on that clock."""
    return day_text(local(instant, zone).date())
