"""Looks as they are typed: put on record, listed, taken back, and what finding it tells."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BackbearingError, BadInput, NotFound
from backbearing.places.zones import local
from backbearing.plans.search.fits import Fitting
from backbearing.plans.search.foundat import found_at, given_back, moved
from backbearing.plans.search.ground import round_place
from backbearing.plans.search.likelihood import ground_of, where_likely
from backbearing.plans.search.looked import (
    covered_by,
    seen_chances,
    sides_unclear,
    together,
    walked_points,
)
from backbearing.plans.search.passedgates import passages_passed
from backbearing.plans.search.sight import sight_of
from backbearing.plans.settings import zone_at
from backbearing.records import Look, PassageReport
from backbearing.saying import say

if TYPE_CHECKING:
    from datetime import date, datetime

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
    moved_m: float | None  # so far from its place on record until then
    moved_to: str  # the point of the compass
    replaced: tuple[int, ...]  # looks of that walk, on record as not found until then
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
    anyway: bool = False,
    note: str = "",
    today: date,
    along_name: str | None = None,
) -> LookAnswer:
    """Put a look for a subject on record: not found, or found at a place.

    range_text: None takes the range kept with the subject. anyway: also where it was found far off
    its place on record. A walk on record as not found becomes the one that found it. The passages
    that the walk went through are put on record as found open that day.

    Raises BadInput where the track never enters the ground, where it keeps so near the line that
    its side must be said, where it is on record for that side already, for one side without a line,
    for a range not above 0, for a find at the subject itself or far off, and for neither track nor
    place; NotFound for unknown names and tracks.
    """
    from backbearing.notebook.lines import add_report
    from backbearing.notebook.search import add_look as put
    from backbearing.notebook.search import drop_look as drop
    from backbearing.notebook.search import keep_sight
    from backbearing.notebook.subjects import find_subject, update_subject
    from backbearing.notebook.tracks import load_track

    subject = find_subject(notebook, name)
    if track is None and found is None:
        raise BadInput(
            say("which walk was it?"), where="--track", remedy=say("'tracks' lists their numbers")
        )
    walked = None if track is None else load_track(notebook, track)
    on = today if walked is None else _day_of(walked, zone_at(notebook, subject.place))
    place = None if found is None else found_at(notebook, subject, found, anyway=anyway)
    line, towards = _side_of(notebook, subject, side, along_name)
    replaced = _refuse_twice(notebook, subject, track, side, line, found=place is not None)
    look = Look(
        subject_id=subject.id,
        track_id=track,
        on=on,
        looking=looking,
        ahead=ahead,
        side=side,
        line=line,
        towards=towards,
        sight=sight_of(notebook, subject, range_text),
        snow=snow,
        law=law,
        found=found is not None,
        found_at=place,
        before=None if place is None else subject.place,
        note=note or (" ".join(each.note for each in replaced).strip()),
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
        for each in replaced:
            drop(notebook, subject.id, each.id or 0)
        number = put(notebook, look)
        if range_text is not None:
            keep_sight(notebook, subject.id, look.sight)
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
    moved_m, moved_to = (None, "") if place is None else moved(subject.place, place)
    return LookAnswer(
        subject=subject.name,
        look=replace(look, id=number),
        number=number,
        seen_share=share,
        way=way,
        before=before,
        likely=None if place else where_likely(notebook, name, along_name=along_name),
        place=place,
        moved_m=moved_m,
        moved_to=moved_to,
        replaced=tuple(each.id or 0 for each in replaced),
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

    What it told of passages stays. Of one that found it the place on record before is given back,
    where nothing else has moved it since.
    """
    from backbearing.notebook.search import drop_look as drop
    from backbearing.notebook.search import list_looks
    from backbearing.notebook.subjects import find_subject

    subject = find_subject(notebook, name)
    was = next((look for look in list_looks(notebook, subject.id) if look.id == number), None)
    stays = []
    with notebook.writing():
        drop(notebook, subject.id, number)
        if was is not None and was.found:
            stays.append(given_back(notebook, subject, was))
    answer = looks_of(notebook, name)
    return replace(answer, dropped=number, remarks=(*answer.remarks, *stays))


def _day_of(walked: Track, clock: str) -> date | None:
    """The day of a walk's first fix with a time, on a zone's clock; None where it has none."""
    for segment in walked.segments:
        known = segment.time[~np.isnat(segment.time)]
        if len(known):
            first: datetime = known[0].astype("datetime64[us]").item()
            return local(first.replace(tzinfo=UTC), clock).date()
    return None


def _side_of(
    notebook: Notebook, subject: Subject, side: LookSide, along_name: str | None
) -> tuple[str, Place | None]:
    """The line by which one side of it is told, and the end it leads to."""
    from backbearing.notebook.search import list_clues

    if side not in ("left", "right"):
        return "", None
    ground, _ = ground_of(notebook, subject, list_clues(notebook, subject.id), along_name)
    if ground.line is None or ground.way is None:
        raise BadInput(
            say("left and right go by a line, and this search is along none"),
            where="--side",
            remedy=say("name it with --along, or leave --side away"),
        )
    return ground.line.name or ground.line.kind, ground.way.to


def _refuse_twice(
    notebook: Notebook,
    subject: Subject,
    track: int | None,
    side: LookSide,
    line: str,
    *,
    found: bool,
) -> tuple[Look, ...]:
    """The same walk counts once, but for its two sides; which looks a finding one replaces."""
    from backbearing.notebook.search import list_looks

    of_it = [look for look in list_looks(notebook, subject.id) if look.track_id == track]
    if track is None or not of_it:
        return ()
    if found and not any(look.found for look in of_it):
        return tuple(of_it)
    for look in of_it:
        one_sided = look.side in ("left", "right")
        if {look.side, side} == {"left", "right"} and look.line in ("", line) and not look.found:
            continue
        remedy = say("take that back with --drop {look_id}", look_id=look.id)
        if one_sided and not look.found:
            remedy += say(", or name the other side of the line with --side")
        raise BadInput(
            say(
                "track {track} is on record as look {look_id} for it", track=track, look_id=look.id
            ),
            where="--track",
            remedy=remedy,
        )
    return ()


def _known_open(reports: tuple[PassageReport, ...], on: date) -> bool:
    return any(report.state == "open" and report.on == on for report in reports)


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
