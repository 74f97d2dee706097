"""What is on record of the subjects: all of them in a list, or one with all that is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.loosenotes import LooseNote
    from backbearing.records import CameraPosition, Note, Subject, SubjectState


@dataclass(frozen=True, slots=True, kw_only=True)
class SubjectList:
    """The subjects on record by name, how many there are beside those asked for, loose notes.

    loose_notes: notes that belong to no subject, where those were asked for. zone: of the clock
    that dates them, the notebook's or UTC.
    """

    subjects: tuple[Subject, ...]
    left_out: int
    loose_notes: tuple[LooseNote, ...]
    zone: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SubjectAnswer:
    """One subject with its camera positions and notes.

    place_texts: its place in each notation, by the notation's name. zone: whose clock rules
    there. wanted_light: the stored wish in words, '' where none is stored.
    """

    subject: Subject
    place_texts: dict[str, str]
    wanted_light: str
    camera_positions: tuple[CameraPosition, ...]
    notes: tuple[Note, ...]
    zone: str


def list_subjects(
    notebook: Notebook, *, state: SubjectState | None = None, blocked: bool = False
) -> SubjectList:
    """Which subjects are on record, by name; only those of a state, or only the blocked ones.

    The notes that belong to none come along: all of them, those that say 'blocked', or none of
    them, as they have no state.
    """
    from backbearing.notebook import subjects as shelf
    from backbearing.notebook.settings import get_setting
    from backbearing.plans.loosenotes import loose_notes

    everything = shelf.list_subjects(notebook)
    kept = tuple(
        subject
        for subject in everything
        if (state is None or subject.state == state) and (not blocked or subject.blocked)
    )
    loose = () if state else loose_notes(notebook)
    return SubjectList(
        subjects=kept,
        left_out=len(everything) - len(kept),
        loose_notes=tuple(
            each for each in loose if not blocked or "blocked" in each.note.text.casefold()
        ),
        # looking up the zone of each place would cost more than the whole list
        zone=get_setting(notebook, "zone") or "UTC",
    )


def describe_subject(notebook: Notebook, name: str) -> SubjectAnswer:
    """All that is on record of the subject of this name.

    Raises NotFound, with the nearest name, where there is none.
    """
    from backbearing.notebook import subjects as shelf
    from backbearing.notebook.settings import get_setting
    from backbearing.places import coordinates
    from backbearing.places.zones import zone_name
    from backbearing.plans.wanted import wanted_words

    subject = shelf.find_subject(notebook, name)
    place = subject.place
    latitude_deg, longitude_deg = place.latitude_deg, place.longitude_deg
    return SubjectAnswer(
        subject=subject,
        place_texts={
            "decimal": coordinates.decimal_text(latitude_deg, longitude_deg),
            "dms": coordinates.dms_text(latitude_deg, longitude_deg),
            "utm": coordinates.utm_text(latitude_deg, longitude_deg),
            "mgrs": coordinates.mgrs_text(latitude_deg, longitude_deg),
            "geo": coordinates.geo_text(place),
        },
        wanted_light=wanted_words(subject.wanted) if subject.wanted else "",
        camera_positions=tuple(shelf.list_camera_positions(notebook, subject.id)),
        notes=tuple(shelf.list_notes(notebook, subject.id)),
        zone=zone_name(latitude_deg, longitude_deg, get_setting(notebook, "zone")),
    )
