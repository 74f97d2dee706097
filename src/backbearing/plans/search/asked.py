"""Clues and looks as they are typed, and what becomes of them on record."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, NotFound
from backbearing.places.clocks import read_day
from backbearing.places.lengths import read_length
from backbearing.plans.locate import locate
from backbearing.plans.periods import today_there
from backbearing.plans.search.fits import Fitting
from backbearing.plans.search.ground import round_place
from backbearing.plans.search.likelihood import ground_of, where_likely
from backbearing.plans.search.looked import coverage, sides_unclear, walked_points
from backbearing.plans.search.offered import OfferedStop, offered_stops
from backbearing.plans.search.offeredphotos import OfferedPhoto, offered_photos
from backbearing.plans.search.typedclue import MOST_SURE, read_clue, read_share
from backbearing.plans.wanted import read_months
from backbearing.records import Look, MemoryClue

if TYPE_CHECKING:
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.search.likelihood import Likely
    from backbearing.plans.search.typedclue import TypedClue
    from backbearing.records import LookLaw, LookSide, Place, Subject

SCORED_WITHIN_M, RIGHT_FROM = 60.0, 0.5  # of where it was found; a clue half fits at its limit


@dataclass(frozen=True, slots=True, kw_only=True)
class CluesAnswer:
    """The clues to a subject on record."""

    subject: str
    clues: tuple[MemoryClue, ...]
    added: int | None = None
    dropped: int | None = None
    says: tuple[str, ...] = ()  # how the clue just put on record was read
    offers: tuple[OfferedStop, ...] = ()  # pauses there: with a first clue, and in the list
    photos: tuple[OfferedPhoto, ...] = ()  # taken there: likewise


@dataclass(frozen=True, slots=True, kw_only=True)
class ClueScore:
    """How a clue did, now that the subject is found: how well the true place fits it."""

    words: str
    fits: float
    right: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LookAnswer:
    """A look put on record, and what it changes."""

    subject: str
    look: Look
    number: int
    seen_share: float  # of the chance before, that lay where it would have been seen
    before: str  # the answer before it; '' where it was found with no track
    likely: Likely | None  # after it; None where it was found
    place: Place | None  # where it was found
    scores: tuple[ClueScore, ...]


def add_clue(
    notebook: Notebook,
    name: str,
    typed: TypedClue,
    *,
    sure: str,
    on: str | None,
    note: str,
    months: str | None = None,
    now: datetime,
) -> CluesAnswer:
    """Put a clue on record as it was typed; with the first one, what own tracks offer.

    months: of those offers, as `clues_and_offers` has it. Raises BadInput naming the option, and
    NotFound for unknown names of subjects and places.
    """
    from backbearing.notebook.search import add_clue as put
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    today = today_there(notebook, now)
    chance = read_share(sure, where="--sure")
    clue, says = read_clue(notebook, subject, typed, now)
    if chance > MOST_SURE:
        says = (
            *says,
            f"kept as {MOST_SURE:.0%} sure".replace("%", " %") + ": no memory is certain",
        )
    told = read_day(on, latest=today, where="--on") if on else today
    clue = replace(clue, subject_id=subject.id, sure=min(chance, MOST_SURE), on=told, note=note)
    first = not clues_of(notebook, name).clues
    offered = clues_and_offers(notebook, name, months=months) if first else None
    with notebook.writing():
        number = put(notebook, clue)
    return replace(
        clues_of(notebook, name),
        added=number,
        says=says,
        offers=offered.offers if offered else (),
        photos=offered.photos if offered else (),
    )


def clues_of(notebook: Notebook, name: str) -> CluesAnswer:
    """The clues to a subject on record. Raises NotFound for an unknown one."""
    from backbearing.notebook.search import list_clues
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    return CluesAnswer(subject=subject.name, clues=tuple(list_clues(notebook, subject.id)))


def clues_and_offers(notebook: Notebook, name: str, *, months: str | None = None) -> CluesAnswer:
    """The clues to a subject, and the pauses on own tracks that may have been there.

    months: as typed, `May-Jun`; all where there are none. Raises NotFound for an unknown subject,
    BadInput for what is no month.
    """
    from backbearing.notebook.subjects import find_subject

    wanted = read_months(months, "--months") if months else ()
    answer = clues_of(notebook, name)
    subject = find_subject(notebook, name)
    ground, _ = ground_of(notebook, subject, answer.clues)
    place = subject.place
    return replace(
        answer,
        offers=offered_stops(notebook, ground, place, months=wanted),
        photos=offered_photos(notebook, ground, place, subject_id=subject.id, months=wanted),
    )


def drop_clue(notebook: Notebook, name: str, number: int) -> CluesAnswer:
    """Take a clue off the record. Raises NotFound where there is none of this number."""
    from backbearing.notebook.search import drop_clue as drop
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    with notebook.writing():
        drop(notebook, subject.id, number)
    return replace(clues_of(notebook, name), dropped=number)


def add_look(
    notebook: Notebook,
    name: str,
    *,
    track: int | None,
    looking: bool,
    side: LookSide,
    range_text: str,
    snow: bool,
    law: LookLaw,
    found: str | None,
    note: str,
    today: date,
    along_name: str | None = None,
) -> LookAnswer:
    """Put a look for a subject on record: not found, or found at a place.

    Raises BadInput where the track never enters the ground, where it keeps so near the line that
    its side must be said, for a range not above 0 and for neither track nor place; NotFound for
    unknown names and tracks.
    """
    from backbearing.notebook.search import add_look as put
    from backbearing.notebook.subjects import find_subject, update_subject
    from backbearing.notebook.tracks import load_track

    subject = find_subject(notebook, name)
    range_m = read_length(range_text, where="--range")
    if not range_m > 0.0:
        raise BadInput("a range of sight must be above 0 m", where="--range", remedy="give metres")
    if track is None and found is None:
        raise BadInput("which walk was it?", where="--track", remedy="'tracks' lists their numbers")
    on = today
    if track is not None:
        walked = load_track(notebook, track)
        first = next((s.time[0] for s in walked.segments if len(s.time)), None)
        if first is not None and not np.isnat(first):
            on = first.astype("datetime64[D]").item()
    look = Look(
        subject_id=subject.id,
        track_id=track,
        on=on,
        looking=looking,
        side=side,
        range_m=range_m,
        snow=snow,
        law=law,
        found=found is not None,
        note=note,
    )
    place = None if found is None else _found_at(notebook, found)
    before, share = "", 0.0
    if place is None or track is not None:
        known = where_likely(notebook, name, along_name=along_name)
        before, share = known.answer, _seen_share(notebook, known, look)
    scores = () if place is None else _scores(notebook, subject, place)
    with notebook.writing():
        number = put(notebook, look)
        if place is not None:
            update_subject(notebook, replace(subject, place=place))
    return LookAnswer(
        subject=subject.name,
        look=replace(look, id=number),
        number=number,
        seen_share=share,
        before=before,
        likely=None if place else where_likely(notebook, name, along_name=along_name),
        place=place,
        scores=scores,
    )


def _found_at(notebook: Notebook, text: str) -> Place:
    try:
        found = locate(notebook, text)
    except (BadInput, NotFound) as error:
        raise type(error)(error.what, where="--found", remedy=error.remedy) from None
    return found.place


def _seen_share(notebook: Notebook, before: Likely, look: Look) -> float:
    walked = walked_points(notebook, look, before.ground)
    if walked is None:
        raise BadInput("that track has no fixes", where="--track", remedy="name another")
    if before.ground.kind == "line" and not look.side and sides_unclear(before.ground, *walked):
        raise BadInput(
            "the track keeps so near the line that its fixes do not tell the side",
            where="--side",
            remedy=f"say left, right or both; {before.sides}",
        )
    covered = coverage(before.ground, look, *walked)
    if not covered.any():
        raise BadInput(
            "that track never enters the ground of this search",
            where="--track",
            remedy="name another track, or widen the ground",
        )
    from backbearing.models.detection import chance_seen

    return float((before.share * chance_seen(covered, look.law)).sum())


def _scores(notebook: Notebook, subject: Subject, place: Place) -> tuple[ClueScore, ...]:
    """How well the place where it was found fits each clue; one that cannot be told is left out."""
    from backbearing.notebook.search import list_clues

    ground = round_place(place, SCORED_WITHIN_M)
    piece = int(np.argmin(np.hypot(ground.x_m, ground.y_m)))
    fitting = Fitting(notebook, ground, place)
    found = []
    for told in list_clues(notebook, subject.id):
        try:
            fits = float(fitting.fits(told)[piece])
        except (BadInput, NotFound):
            continue
        found.append(ClueScore(words=told.words, fits=round(fits, 2), right=fits >= RIGHT_FROM))
    return tuple(found)
