"""Where a subject was found: how far that is from its place on record, and the way back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotFound
from backbearing.places.coordinates import decimal_text
from backbearing.places.geodesy import inverse
from backbearing.places.words import metres_text
from backbearing.plans.locate import locate
from backbearing.plans.search.looked import WINDS
from backbearing.plans.search.sought import refuse_sought
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Look, Place, Subject

FAR_M, FAR_ERRORS = 5000.0, 5.0  # farther from the place on record a find is asked about
_SAME_DEG = 1e-7  # as the notebook keeps places


def given_back(notebook: Notebook, subject: Subject, was: Look) -> str:
    """Put a subject back where it was on record before a look found it; what is to be said."""
    from backbearing.notebook.search import change_look, list_looks
    from backbearing.notebook.subjects import update_subject

    if was.before is None or was.found_at is None:
        return say("its place stays where it was found; 'edit' puts it elsewhere")
    for other in list_looks(notebook, subject.id):
        if other.before is not None and _one_spot(other.before, was.found_at):
            change_look(notebook, replace(other, before=was.before))
            return say("its place is that of look {number}, which found it later", number=other.id)
    if not _one_spot(subject.place, was.found_at):
        return say("its place stays: it was moved since it was found")
    update_subject(notebook, replace(subject, place=was.before))
    return say(
        "its place is again the one before: {at} ± {error}",
        at=decimal_text(was.before.latitude_deg, was.before.longitude_deg),
        error=metres_text(was.before.error_m),
    )


def _one_spot(one: Place, other: Place) -> bool:
    apart = one.latitude_deg - other.latitude_deg, one.longitude_deg - other.longitude_deg
    return max(map(abs, apart)) < _SAME_DEG


def moved(before: Place, place: Place) -> tuple[float, str]:
    """How far one place is from another, and to which point of the compass."""
    azimuth, away_m = inverse(
        before.latitude_deg, before.longitude_deg, place.latitude_deg, place.longitude_deg
    )
    return away_m, WINDS[round(azimuth / 45.0) % 8]


def found_at(notebook: Notebook, subject: Subject, text: str, *, anyway: bool) -> Place:
    """Where it was found, as typed.

    Raises BadInput and NotFound as `locate` does, and BadInput for the subject itself and, but for
    anyway, for a place far off the one on record.
    """
    try:
        found = locate(notebook, text)
    except (BadInput, NotFound) as error:
        raise type(error)(error.what, where="--found", remedy=error.remedy) from None
    refuse_sought(found, subject, "--found")
    away_m, wind = moved(subject.place, found.place)
    if away_m > max(FAR_M, FAR_ERRORS * subject.place.error_m) and not anyway:
        raise BadInput(
            say(
                "that is {away_km:,.0f} km {wind} of its place on record (± {error})",
                away_km=away_m / 1000.0,
                wind=wind,
                error=metres_text(subject.place.error_m),
            ),
            where="--found",
            remedy=say("see whether N, S, E or W is right; if it is there, add --anyway"),
        )
    return found.place
