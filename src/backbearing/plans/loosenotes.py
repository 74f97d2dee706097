"""Notes that belong to no subject: the windfall on the way, and lines that found no place."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.records import Place

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Note

# as `plans.notes.turns` writes it; the figures may have been touched by another program
_STOOD_AT = re.compile(
    r"(-?\d{1,2}(?:\.\d+)?), (-?\d{1,3}(?:\.\d+)?) ± (\d+(?:\.\d+)?) m(?: \((.*)\))?",
    re.ASCII | re.DOTALL,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LooseNote:
    """A note without a subject, and where it was written.

    place: None where that is not known. missing: what stood in the way of a place, '' where
    nothing is known of that.
    """

    note: Note
    place: Place | None = None
    missing: str = ""


def loose_notes(notebook: Notebook) -> tuple[LooseNote, ...]:
    """Which notes on record belong to no subject, by time."""
    from backbearing.notebook.subjects import list_loose_notes

    return tuple(
        LooseNote(
            note=note,
            place=read_stood_at(note.observed.get("stood at", "")),
            missing=note.observed.get("unplaced", ""),
        )
        for note in list_loose_notes(notebook)
    )


def stood_at_text(place: Place) -> str:
    """Where a note was written, as the note says it; `read_stood_at` reads it back."""
    from backbearing.places.coordinates import decimal_text
    from backbearing.places.words import whole_error_m

    where = decimal_text(place.latitude_deg, place.longitude_deg)
    return f"{where} ± {whole_error_m(place.error_m)} m ({place.source})"


def read_stood_at(text: str) -> Place | None:
    """The place a note says it was written at: `47.003282, -21.000484 ± 13 m (track 6 at …)`."""
    found = _STOOD_AT.fullmatch(text.strip())
    if found is None:
        return None
    latitude_deg, longitude_deg, error_m = (float(part) for part in found.groups()[:3])
    if abs(latitude_deg) > 90.0 or abs(longitude_deg) > 180.0:
        return None
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        error_m=error_m,
        error_basis="as noted",
        source=found[4] or "",
    )
