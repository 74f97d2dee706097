"""The notebook's settings: what they are, what they mean, and setting one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.saying import ENGLISH, Language, speaking

if TYPE_CHECKING:
    from contextlib import AbstractContextManager

    from backbearing.notebook import Notebook
    from backbearing.records import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One setting; value None where it is not set."""

    key: str
    value: str | None
    meaning: str


def show_settings(notebook: Notebook, key: str | None = None) -> tuple[Setting, ...]:
    """All settings, or the one of this key. Raises BadInput for an unknown key."""
    from backbearing.notebook.settings import KEYS, get_setting

    keys = list(KEYS) if key is None else [key]
    found = [(name, get_setting(notebook, name)) for name in keys]
    return tuple(Setting(key=name, value=value, meaning=KEYS[name]) for name, value in found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reread:
    """Records of field notes whose times were read by another clock than the one now set.

    files: the notes they stand in, with how many each holds.
    """

    files: tuple[tuple[str, int], ...]


def records_by_another_clock(notebook: Notebook, before: str | None) -> Reread:
    """Which field notes at sea would be read otherwise now that the zone setting has changed.

    before: the zone that was set until now. Notes on land go by their own zone, and stay.
    """
    from backbearing.notebook.settings import get_setting
    from backbearing.notebook.subjects import list_notes, list_subjects
    from backbearing.places.zones import local, zone_name
    from backbearing.plans.loosenotes import read_stood_at

    now = get_setting(notebook, "zone")
    places = {subject.id: subject.place for subject in list_subjects(notebook)}
    counts: dict[str, int] = {}
    for note in list_notes(notebook):
        file_name, comma, _ = note.source.rpartition(", line ")
        if not comma:
            continue
        place = read_stood_at(note.observed.get("stood at", "")) or places.get(note.subject_id)
        if place is None:  # then the setting alone ruled, or UTC
            old, new = before or "UTC", now or "UTC"
        else:
            where = (place.latitude_deg, place.longitude_deg)
            old, new = zone_name(*where, before), zone_name(*where, now)
        if local(note.written_at, old).utcoffset() != local(note.written_at, new).utcoffset():
            counts[file_name] = counts.get(file_name, 0) + 1
    return Reread(files=tuple(sorted(counts.items())))


def change_setting(notebook: Notebook, key: str, value: str | None) -> tuple[Setting, ...]:
    """Set a setting, or take it back with None, and answer what it now is.

    Raises BadInput for an unknown key or a value that means nothing, NotFound for a place that
    is not on record.
    """
    from backbearing.notebook.settings import set_setting
    from backbearing.places.zones import zone

    value = None if value is None else value.strip()
    if key == "zone" and value is not None:
        value = zone(value).key
    if key == "start" and value is not None:
        from backbearing.plans.locate import locate

        locate(notebook, value)
    if key == "language" and value is not None:
        with speaking(Language(code=value)):
            pass  # that there is a catalogue of it
    if key in ("drive", "park") and value is not None:
        from backbearing.places.lengths import read_duration_s

        read_duration_s(value, where=key)
    with notebook.writing():
        set_setting(notebook, key, value)
    return show_settings(notebook, key)


def zone_at(notebook: Notebook | None, place: Place) -> str:
    """IANA name of the zone whose clock rules at a place; one kept on record is not looked up."""
    from backbearing.errors import BadInput
    from backbearing.places.zones import ruling_zone, zone, zone_name

    setting = zone_setting(notebook)
    if notebook is not None:
        from backbearing.notebook.zones import kept_zone

        kept = kept_zone(notebook, place.latitude_deg, place.longitude_deg)
        if kept is not None:
            try:
                zone(kept)
            except BadInput:  # another program wrote over it
                pass
            else:
                return ruling_zone(kept, setting)
    return zone_name(place.latitude_deg, place.longitude_deg, setting)


def zone_setting(notebook: Notebook | None) -> str | None:
    """The notebook's zone, None where it has none or there is no notebook."""
    if notebook is None:
        return None
    from backbearing.notebook.settings import get_setting

    return get_setting(notebook, "zone")


def start_setting(notebook: Notebook) -> str | None:
    """Where walks begin, as it was written; None where it is not set."""
    from backbearing.notebook.settings import get_setting

    return get_setting(notebook, "start")


def drive_setting(notebook: Notebook) -> str | None:
    """How long the drive to the start takes, as it was written; None where it is not set."""
    from backbearing.notebook.settings import get_setting

    return get_setting(notebook, "drive")


def park_setting(notebook: Notebook) -> str | None:
    """How long from the end of the drive until one walks, as it was written; None: not set."""
    from backbearing.notebook.settings import get_setting

    return get_setting(notebook, "park")


def in_language(notebook: Notebook) -> AbstractContextManager[None]:
    """Speak the notebook's language within the block; English where none is set.

    Raises BadInput where there is no catalogue of it.
    """
    from backbearing.notebook.settings import get_setting

    return speaking(Language(code=get_setting(notebook, "language") or ENGLISH))


def call_setting(notebook: Notebook) -> str | None:
    """Whom to call when overdue, as it was written; None where it is not set."""
    from backbearing.notebook.settings import get_setting

    return get_setting(notebook, "call")
