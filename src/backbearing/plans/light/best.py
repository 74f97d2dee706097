"""Which windows are best: the one question of light, put to every subject asked about.

Each share of the subjects gives its windows (`share`), by one process or several (`processes`);
then all subjects' windows in one order, truly different occasions first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadInput
from backbearing.places.words import metres_text
from backbearing.plans.dazzle import CAUTION
from backbearing.plans.light.at import (
    FACE_NOT_KNOWN,
    Asked,
    Standpoint,
    bearing_known,
    not_judged,
    wish_of,
    wishes_of,
)
from backbearing.plans.light.dayends import DayEnd, day_ends
from backbearing.plans.light.share import Question, days_around, joined, work_out
from backbearing.plans.standins import stood_in
from backbearing.plans.wanted import generic_wish, wanted_words
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence, Set
    from datetime import date, datetime, time

    from backbearing.notebook import Notebook
    from backbearing.plans.light.unmatched import Unmatched
    from backbearing.records import LightWindow, Subject, WantedLight

FIRST_YEAR, LAST_YEAR = 1801, 2198  # the sun's tables, less a year for days around the period
LONGEST_PERIOD_DAYS = 5 * 366
FLAT_HORIZON = phrase(
    "flat horizon assumed: in a gorge or under a wall the sun comes later and leaves earlier"
)
SKYLINE_FROM = phrase("skyline")  # so begins what says which terrain it comes from
NO_WISH = phrase("no wish on record")
_NAMED = 5  # subjects named in one assumption before the rest are counted

WishBasis = Literal["on record", "tried", "generic default"]


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedWish:
    """The light a subject's windows were judged by, and where that wish came from."""

    subject: str
    camera_position: str  # whose own wish it is; '' where it is the subject's
    words: str
    basis: WishBasis


@dataclass(frozen=True, slots=True, kw_only=True)
class Hindrance:
    """What stopped me at a subject, and what is to be done otherwise; '' where nothing is."""

    subject: str
    blocked: str
    next_time: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LightAnswer:
    """Ranked light windows of a period, and what is to be known about them."""

    start: date
    end: date
    next_window: LightWindow | None  # the soonest that is surely there, whatever its rank
    windows: tuple[LightWindow, ...]  # best first, different occasions before neighbours of one
    different: int  # so many of them, the first, are much the same as none before
    unmatched: tuple[Unmatched, ...]  # subjects without a window under a clear sky
    wishes: tuple[JudgedWish, ...]
    hindrances: tuple[Hindrance, ...]  # of the subjects that have a window here
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]  # for the eyes, where the sun comes near a camera's line
    declination_deg: float | None  # of one subject on the first day, east positive
    day_ends: tuple[DayEnd, ...]  # of the windows' days, where asked for
    left_off: int  # offers beyond the limit
    left_off_alike: int  # of these, much the same as one before


def best_light(
    notebook: Notebook,
    names: Sequence[str],
    *,
    start: date,
    end: date,
    wanted: WantedLight | None = None,
    after: time | None = None,
    earliest_at: datetime | None = None,
    limit: int | None = None,
    with_day_ends: bool = False,
    processes: int | None = 1,
    progress: Callable[[str], None] | None = None,
) -> LightAnswer:
    """When, from one local day to another, is the light right at these subjects?

    names: subjects; none means all that are neither made nor gone. wanted: a wish to try in
    place of those on record. after: local clock on the first day before which nothing counts.
    earliest_at: an aware instant, the same. limit: how many dates to answer with (an overcast
    window of a date named already comes along and is not counted). with_day_ends: whether the
    last sun and the dusk of the days named are answered too. processes: how many share the
    work, with one answer whatever their number; None starts as many as pay (see `processes`).
    progress: told in a line what is being worked on.

    Raises NotFound for an unknown name, BadInput for a period that runs backwards, is longer
    than five years or lies outside 1801 to 2198.
    """
    if end < start:
        raise BadInput(
            say("the period ends {end} before it starts {start}", end=end, start=start),
            where="--to",
            remedy=say("put the earlier day in --from"),
        )
    if start.year < FIRST_YEAR or end.year > LAST_YEAR:
        raise BadInput(
            say(
                "the sun is known for the years {first_year} to {last_year}",
                first_year=FIRST_YEAR,
                last_year=LAST_YEAR,
            ),
            where="--from" if start.year < FIRST_YEAR else "--to",
            remedy=say("ask about a day within them"),
        )
    if (end - start).days >= LONGEST_PERIOD_DAYS:
        raise BadInput(
            say("the period is longer than five years"), where="--to", remedy=say("shorten it")
        )
    subjects, left_out = _subjects(notebook, names)
    question = Question(
        start=start,
        end=end,
        wanted=wanted,
        after=after,
        earliest_at=earliest_at,
        limit=limit,
        days_around=days_around(notebook, subjects, wanted),
    )
    if len(subjects) > 1 and processes != 1:
        from backbearing.plans.light.processes import shares

        found = shares(notebook, subjects, question, processes=processes, progress=progress)
        share = joined(found, limit)
    else:
        share = work_out(notebook, subjects, question, progress=progress)
    asked, unmatched = share.asked, share.unmatched
    windows = [(window, offer.alike) for offer in share.named for window in offer.windows]
    named = [*share.named, share.soonest] if share.soonest else share.named
    return LightAnswer(
        start=start,
        end=end,
        next_window=share.soonest.windows[0] if share.soonest else None,
        windows=tuple(window for window, _ in windows),
        different=sum(not alike for _, alike in windows),
        unmatched=tuple(unmatched[key] for s in subjects if (key := s.uid or s.name) in unmatched),
        wishes=tuple(w for one in asked for w in _judged_wishes(one, tried=wanted is not None)),
        hindrances=tuple(_hindrances(subjects, {o.windows[0].subject for o in named})),
        assumptions=tuple(_assumptions(asked, left_out, share.without)),
        cautions=(say(CAUTION),) if any(offer.dazzles for offer in named) else (),
        declination_deg=_declination_deg(asked[0], start) if len(asked) == 1 else None,
        day_ends=day_ends(asked, [window for window, _ in windows]) if with_day_ends else (),
        left_off=share.count - len(share.named),
        left_off_alike=share.alike - sum(offer.alike for offer in share.named),
    )


# ---------------------------------------------------------------- what is asked about


def _subjects(notebook: Notebook, names: Sequence[str]) -> tuple[list[Subject], list[Subject]]:
    """The subjects to judge, and those left out because they are made or gone."""
    from backbearing.notebook.subjects import find_subject, list_subjects

    if names:
        found = [find_subject(notebook, name) for name in names]
        return list({s.uid or s.name: s for s in found}.values()), []
    every = list_subjects(notebook)
    done = [s for s in every if s.state in ("made", "gone")]
    return [s for s in every if s.state not in ("made", "gone")], done


# ---------------------------------------------------------------- what comes with it


def _hindrances(subjects: Sequence[Subject], lit: Set[str]) -> Iterator[Hindrance]:
    for subject in subjects:
        if subject.name in lit and (subject.blocked or subject.next_time):
            yield Hindrance(
                subject=subject.name, blocked=subject.blocked, next_time=subject.next_time
            )


def _declination_deg(one: Asked, on: date) -> float | None:
    """Magnetic declination there, None where no model or no compass holds."""
    from backbearing.places.bearings import declination_deg

    place = one.place
    try:
        value, _ = declination_deg(place.latitude_deg, place.longitude_deg, place.height_m, on)
    except BadInput:
        return None
    return round(value, 1)


# ---------------------------------------------------------------- what it rests on


def _judged_wishes(one: Asked, *, tried: bool) -> Iterator[JudgedWish]:
    """The subject's wish, where any camera position goes by it, and those of positions' own."""
    shared = next((each for each in one.standpoints if each.wanted is None), None)
    own = [each for each in one.standpoints if each.wanted is not None]
    for standpoint in ([shared] if shared else []) + own:
        kept: WishBasis = "tried" if tried else "on record"
        yield JudgedWish(
            subject=one.subject.name,
            camera_position=standpoint.name if standpoint.wanted else "",
            words=wanted_words(wish_of(one, standpoint), facing_deg=one.facing_deg),
            basis="generic default" if one.generic and standpoint is shared else kept,
        )


def _assumptions(
    asked: Sequence[Asked], left_out: Sequence[Subject], without: Sequence[str]
) -> Iterator[str]:
    yield from _horizons(asked)
    generic = [one for one in asked if one.generic]
    for known in (True, False):
        named = [one.subject.name for one in generic if bearing_known(one) is known]
        if named:
            wish = wanted_words(generic_wish(bearing_known=known))
            blind = "" if known else say(", and no bearing to judge the side by")
            yield say(
                "{no_wish} for {listed}{blind}: generic default ({wish})",
                no_wish=say(NO_WISH),
                listed=_listed(named),
                blind=blind,
                wish=wish,
            )
    faceless = [
        one.subject.name
        for one in asked
        if one.facing_deg is None and any(wish.direct_sun for wish in wishes_of(one))
    ]
    if len(asked) > 1 and faceless:  # of one subject its windows say it
        yield f"{say(FACE_NOT_KNOWN)}: {_listed(faceless)}"
    stand_ins: dict[str, list[str]] = {}
    for one in asked:
        for standpoint in one.standpoints:
            phrase = stood_in(standpoint.bearing)
            if phrase:
                stand_ins.setdefault(phrase, []).append(_seen_from(one, standpoint))
    for phrase, named in sorted(stand_ins.items()):
        yield say(
            "camera bearing of {listed} assumed: {phrase}", listed=_listed(named), phrase=phrase
        )
    without_bearing = [
        say(
            "camera position {standpoint} of {subject}",
            standpoint=standpoint.name,
            subject=one.subject.name,
        )
        for one in asked
        for standpoint in not_judged(one)
    ]
    if without_bearing:
        yield say(
            "not judged, as no bearing from it is on record: {listed}",
            listed=_listed(without_bearing),
        )
    if without:
        yield say("nothing under a clear sky in these days: {listed}", listed=_listed(without))
    if left_out:
        yield say("left out, as made or gone: {listed}", listed=_listed([s.name for s in left_out]))


def _horizons(asked: Sequence[Asked]) -> Iterator[str]:
    """What bounds the sky: the skylines of the terrain on record, and where there is none."""
    flat = [one for one in asked if not one.ground_known]
    if flat and len(flat) == len(asked):
        yield say(FLAT_HORIZON)
    elif flat:
        yield say(
            "{flat_horizon} (at {listed})",
            flat_horizon=say(FLAT_HORIZON),
            listed=_listed([one.subject.name for one in flat]),
        )
    known = [one.sky.skyline for one in asked if one.ground_known]
    if len(asked) == 1 and known:
        yield say(
            "{skyline_from} from {basis}", skyline_from=say(SKYLINE_FROM), basis=known[0].basis
        )
    reaches_m = [float(each.reach_m.min()) for each in known if each.cell_m is not None]
    if len(asked) > 1 and reaches_m:  # each window's own `rests_on` says it in full
        reach_m = min(reaches_m)
        reach = metres_text(reach_m)
        yield say(
            "{skyline_from}s from the terrain on record, which reaches {reach} or more",
            skyline_from=say(SKYLINE_FROM),
            reach=reach,
        )
    yield from sorted({say(one.sky.skyline.basis) for one in flat} - {say("flat horizon assumed")})


def _seen_from(one: Asked, standpoint: Standpoint) -> str:
    """The subject's name, with the camera position where it has several."""
    several = len(one.standpoints) > 1
    return (
        say("{subject} from {standpoint}", subject=one.subject.name, standpoint=standpoint.name)
        if several
        else one.subject.name
    )


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_NAMED])
    return (
        shown
        if len(names) <= _NAMED
        else say("{shown} and {names} more", shown=shown, names=len(names) - _NAMED)
    )
