"""What is on record of the subjects: all of them in a list, or one with all that is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.notebook import Notebook
    from backbearing.plans.loosenotes import LooseNote
    from backbearing.plans.photosof import ShownPhoto
    from backbearing.plans.plates import PlateLine
    from backbearing.records import CameraPosition, Note, Subject, SubjectState

_SAME_SIZE_M = 0.01  # heights from angles are stored to a centimetre


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
    """One subject with its camera positions, plates and notes.

    place_texts: its place in each notation, by the notation's name. zone: whose clock rules
    there. wanted_light: the stored wish in words, '' where none is stored. tall_error_m: 95 %,
    None where it is not known how the subject was measured.
    """

    subject: Subject
    place_texts: dict[str, str]
    wanted_light: str
    camera_positions: tuple[CameraPosition, ...]
    position_light: tuple[str, ...]  # of each, its own wish in words; '' where it has none
    plates: tuple[PlateLine, ...]
    notes: tuple[Note, ...]
    zone: str
    tall_error_m: float | None
    photos: tuple[ShownPhoto, ...]  # of it, or taken within its error and 50 m


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
    from backbearing.notebook.photos import list_photos
    from backbearing.places import coordinates
    from backbearing.plans.photosof import photos_of
    from backbearing.plans.plates import plates_on_record
    from backbearing.plans.settings import zone_at
    from backbearing.plans.wanted import wanted_words

    subject = shelf.find_subject(notebook, name)
    cameras = tuple(shelf.list_camera_positions(notebook, subject.id))
    place = subject.place
    latitude_deg, longitude_deg = place.latitude_deg, place.longitude_deg
    zone = zone_at(notebook, place)
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
        camera_positions=cameras,
        position_light=tuple(wanted_words(c.wanted) if c.wanted else "" for c in cameras),
        plates=plates_on_record(notebook, subject=subject.name).plates,
        notes=tuple(shelf.list_notes(notebook, subject.id)),
        zone=zone,
        tall_error_m=tall_error_m(subject, cameras),
        photos=photos_of(list_photos(notebook), subject.id, place, zone),
    )


def tall_error_m(subject: Subject, cameras: Sequence[CameraPosition]) -> float | None:
    """How far the height of a subject may be off [m, 95 %], where angles from a camera gave it.

    The distance is taken as paced unless the subject's own place was made from a taped one.
    """
    from backbearing.plans.marking.measuring import tall_from_angles_m

    if subject.tall_m is None:
        return None
    measured = "taped" if " taped ± " in subject.place.error_basis else "paced"
    for camera in cameras:
        distance_m, top_deg, foot_deg = camera.distance_m, camera.top_deg, camera.foot_deg
        if distance_m is None or top_deg is None or foot_deg is None:
            continue
        try:
            tall_m, error_m = tall_from_angles_m(distance_m, top_deg, foot_deg, measured)
        except BadInput:  # another program turned the angles round
            continue
        if abs(tall_m - subject.tall_m) < _SAME_SIZE_M:
            return round(error_m, 2)
    return None
