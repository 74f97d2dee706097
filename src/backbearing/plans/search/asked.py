"""Clues as they are typed, and what becomes of them on record."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from backbearing.errors import BadInput
from backbearing.places.clocks import read_day
from backbearing.plans.periods import today_there
from backbearing.plans.search.likelihood import ground_of
from backbearing.plans.search.offered import OfferedStop, offered_stops
from backbearing.plans.search.offeredphotos import OfferedPhoto, offered_photos
from backbearing.plans.search.typedclue import MOST_SURE, read_clue, read_share
from backbearing.plans.wanted import read_months
from backbearing.saying import say

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.search.typedclue import TypedClue
    from backbearing.records import MemoryClue


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
            say("kept as {most_sure:.0%} sure", most_sure=MOST_SURE).replace("%", " %")
            + say(": no memory is certain"),
        )
    told = read_day(on, latest=today, where="--on") if on else today
    if told > today:
        raise BadInput(
            f"{told.isoformat()} is still to come", where="--on", remedy="give the day it was told"
        )
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
