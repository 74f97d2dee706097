"""Looks as they are typed: put on record, listed, taken back, and what finding it tells."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BackbearingError, BadInput, NotFound
from backbearing.plans.locate import locate
from backbearing.plans.search.fits import Fitting
from backbearing.plans.search.ground import round_place
from backbearing.plans.search.likelihood import where_likely
from backbearing.plans.search.looked import (
    covered_by,
    seen_chances,
    sides_unclear,
    together,
    walked_points,
)
from backbearing.plans.search.passedgates import passages_passed
from backbearing.plans.search.sight import sight_of
from backbearing.records import Look, PassageReport
from backbearing.saying import say

if TYPE_CHECKING:
    from datetime import date

    from backbearing.notebook import Notebook
    from backbearing.plans.search.likelihood import Likely
    from backbearing.records import Floats, LookLaw, LookSide, Place, Subject, Track

SCORED_WITHIN_M, RIGHT_FROM = 60.0, 0.5  # of where it was found; a clue half fits at its limit


@dataclass(frozen=True, slots=True, kw_only=True)
class ClueScore:
    """How a clue did, now that the subject is found: how well the true place fits it."""

    words: str
    fits: float
    right: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LookLine:
    """A look on record, what it saw alone, and which way it went.

    seen_share: of the chance before all looks; None where that cannot be told.
    """

    look: Look
    seen_share: float | None
    way: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LooksAnswer:
    """The looks for a subject on record."""

    subject: str
    looks: tuple[LookLine, ...]
    dropped: int | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LookAnswer:
    """A look put on record, and what it changes."""

    subject: str
    look: Look
    number: int
    seen_share: float  # chance that it would have been found on this walk, by what was known before
    way: str  # which way it went; '' where it was found
    before: str  # the answer before it; '' where it was found
    likely: Likely | None  # after it; None where it was found
    place: Place | None  # where it was found
    scores: tuple[ClueScore, ...]
    opened: tuple[str, ...] = ()  # passages it went through, now on record as found open that day
    asked: tuple[str, ...] = ()  # passages it only came near


def add_look(
    notebook: Notebook,
    name: str,
    *,
    track: int | None,
    looking: bool = True,
    ahead: bool = False,
    side: LookSide = "",
    range_text: str | None = None,
    snow: bool = False,
    law: LookLaw = "random",
    found: str | None = None,
    note: str = "",
    today: date,
    along_name: str | None = None,
) -> LookAnswer:
    """Put a look for a subject on record: not found, or found at a place.

    range_text: None takes the range kept with the subject. The passages that the walk went through
    are put on record as found open that day. Raises BadInput where the track never enters the
    ground, where it keeps so near the line that its side must be said, where it is on record for
    that side already, for a range not above 0 and for neither track nor place; NotFound for unknown
    names and tracks.
    """
    from backbearing.notebook.lines import add_report
    from backbearing.notebook.search import add_look as put
    from backbearing.notebook.subjects import find_subject, update_subject
    from backbearing.notebook.tracks import load_track

    subject = find_subject(notebook, name)
    if track is None and found is None:
        raise BadInput(
            say("which walk was it?"), where="--track", remedy=say("'tracks' lists their numbers")
        )
    walked = None if track is None else load_track(notebook, track)
    on = today if walked is None else _day_of(walked)
    place = None if found is None else _found_at(notebook, found)
    _refuse_twice(notebook, subject, track, side)
    look = Look(
        subject_id=subject.id,
        track_id=track,
        on=on,
        looking=looking,
        ahead=ahead,
        side=side,
        sight=sight_of(notebook, subject, range_text),
        snow=snow,
        law=law,
        found=found is not None,
        note=note,
    )
    before, share, way = "", 0.0, ""
    if place is None:
        known = where_likely(notebook, name, along_name=along_name)
        before = known.answer
        share, way = _seen_share(notebook, known, look)
    through, near = ((), ()) if walked is None else passages_passed(notebook, walked)
    opened = tuple(one for one in through if on is not None and not _known_open(one.reports, on))
    scores = () if place is None else _scores(notebook, subject, place)
    with notebook.writing():
        number = put(notebook, look)
        for passage in opened:
            add_report(
                notebook,
                passage.id,
                PassageReport(
                    state="open", on=on, note=say("walked through on track {track}", track=track)
                ),
            )
        if place is not None:
            update_subject(notebook, replace(subject, place=place))
    return LookAnswer(
        subject=subject.name,
        look=replace(look, id=number),
        number=number,
        seen_share=share,
        way=way,
        before=before,
        likely=None if place else where_likely(notebook, name, along_name=along_name),
        place=place,
        scores=scores,
        opened=tuple(one.name for one in opened),
        asked=tuple(one.name for one in (near if on is not None else (*through, *near))),
    )


def looks_of(notebook: Notebook, name: str) -> LooksAnswer:
    """The looks for a subject on record, and what each would have seen alone.

    Raises NotFound for an unknown subject.
    """
    from backbearing.notebook.search import list_looks
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    looks = list_looks(notebook, subject.id)
    try:
        known = where_likely(notebook, name) if any(not look.found for look in looks) else None
    except BackbearingError as error:
        return LooksAnswer(
            subject=subject.name,
            looks=tuple(LookLine(look=look, seen_share=None, way="") for look in looks),
            remarks=(say("what they saw cannot be told: {what}", what=error.what),),
        )
    lines = []
    for look in looks:
        share, way = None, ""
        if known is not None and not look.found:
            share, way = _alone(notebook, known, look)
        lines.append(LookLine(look=look, seen_share=share, way=way))
    return LooksAnswer(subject=subject.name, looks=tuple(lines))


def drop_look(notebook: Notebook, name: str, number: int) -> LooksAnswer:
    """Take a look off the record. Raises NotFound where there is none of this number.

    What it told of passages, and the place where it was found, stay.
    """
    from backbearing.notebook.search import drop_look as drop
    from backbearing.notebook.search import list_looks
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    was = next((look for look in list_looks(notebook, subject.id) if look.id == number), None)
    with notebook.writing():
        drop(notebook, subject.id, number)
    stays = []
    if was is not None and was.found:
        stays.append(say("its place stays where it was found; 'edit' puts it elsewhere"))
    answer = looks_of(notebook, name)
    return replace(answer, dropped=number, remarks=(*answer.remarks, *stays))


def _day_of(walked: Track) -> date | None:
    """The day of a walk's first fix with a time; None where it has none."""
    for segment in walked.segments:
        known = segment.time[~np.isnat(segment.time)]
        if len(known):
            day: date = known[0].astype("datetime64[D]").item()
            return day
    return None


def _refuse_twice(notebook: Notebook, subject: Subject, track: int | None, side: LookSide) -> None:
    """The same walk counts once, but for its two sides."""
    from backbearing.notebook.search import list_looks

    if track is None:
        return
    for look in list_looks(notebook, subject.id):
        other = {look.side, side} == {"left", "right"}
        if look.track_id == track and not other:
            raise BadInput(
                say(
                    "track {track} is on record as look {look_id} for it",
                    track=track,
                    look_id=look.id,
                ),
                where="--track",
                remedy=say(
                    "take that back with --drop {look_id}, or name the other side of "
                    "the line with --side",
                    look_id=look.id,
                ),
            )


def _known_open(reports: tuple[PassageReport, ...], on: date) -> bool:
    return any(report.state == "open" and report.on == on for report in reports)


def _found_at(notebook: Notebook, text: str) -> Place:
    try:
        found = locate(notebook, text)
    except (BadInput, NotFound) as error:
        raise type(error)(error.what, where="--found", remedy=error.remedy) from None
    return found.place


def _terrain(notebook: Notebook, known: Likely) -> Fitting:
    return Fitting(notebook, known.ground, known.subject.place, known.subject.id)


def _seen_share(notebook: Notebook, before: Likely, look: Look) -> tuple[float, str]:
    """The chance to have found it on this walk, beyond what earlier looks saw, and its way."""
    ground = before.ground
    walked = walked_points(notebook, look, ground)
    if walked is None:
        raise BadInput(say("that track has no fixes"), where="--track", remedy=say("name another"))
    if ground.kind == "line" and not look.side and sides_unclear(ground, walked):
        raise BadInput(
            say("the track keeps so near the line that its fixes do not tell the side"),
            where="--side",
            remedy=say("say left, right or both; {sides}", sides=before.sides),
        )
    terrain = _terrain(notebook, before).grids
    covered = covered_by(notebook, ground, look, walked, terrain[0])
    if not covered.coverage.any():
        raise BadInput(
            say("that track never enters the ground of this search"),
            where="--track",
            remedy=say("name another track, or widen the ground"),
        )
    earlier = seen_chances(notebook, ground, before.looks, terrain)
    missed = 1.0 - together(ground, [*earlier.looks, covered])
    new = 1.0 - missed / np.maximum(1.0 - earlier.chance, 1e-12)
    return float((before.share * np.clip(new, 0.0, 1.0)).sum()), covered.way


def _alone(notebook: Notebook, known: Likely, look: Look) -> tuple[float | None, str]:
    """What a look on record saw of the chance before all looks, and its way."""
    walked = walked_points(notebook, look, known.ground)
    if walked is None:
        return None, ""
    covered = covered_by(notebook, known.ground, look, walked, _terrain(notebook, known).grids[0])
    before: Floats = known.share / np.maximum(1.0 - known.seen_chance, 1e-12)
    rest = known.elsewhere + known.gone
    share = float((before * together(known.ground, [covered])).sum() / (before.sum() + rest))
    return share, covered.way


def _scores(notebook: Notebook, subject: Subject, place: Place) -> tuple[ClueScore, ...]:
    """How well the place where it was found fits each clue; one that cannot be told is left out."""
    from backbearing.notebook.search import list_clues

    ground = round_place(place, SCORED_WITHIN_M)
    piece = int(np.argmin(np.hypot(ground.x_m, ground.y_m)))
    fitting = Fitting(notebook, ground, place, subject.id)
    found = []
    for told in list_clues(notebook, subject.id):
        try:
            fits = float(fitting.fits(told)[piece])
        except (BadInput, NotFound):
            continue
        found.append(ClueScore(words=told.words, fits=round(fits, 2), right=fits >= RIGHT_FROM))
    return tuple(found)
