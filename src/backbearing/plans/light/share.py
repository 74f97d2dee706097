"""One share of the subjects: their windows, worked out together; and shares put together again.

What a share holds crosses from one process to another: answers, and of the many windows of a
year only as many as are asked for.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING

from backbearing.models.ranking import spacing_days
from backbearing.models.wanted import SpotMinutes, needs_first_or_last_sun
from backbearing.plans.heights import place_with_height
from backbearing.plans.light.at import Asked, Standpoint, judge
from backbearing.plans.light.order import Offer, Order, offered, offers
from backbearing.plans.light.sky import skies_of
from backbearing.plans.light.spot import LocalMinutes, local_minutes, spots_minutes
from backbearing.plans.settings import zone_at
from backbearing.plans.standins import camera_line
from backbearing.saying import Language, say, spoken

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence, Set
    from datetime import date, datetime, time

    from backbearing.notebook import Notebook
    from backbearing.plans.light.unmatched import Unmatched
    from backbearing.plans.skyline import MadeSkyline
    from backbearing.records import CameraPosition, LightWindow, Subject, WantedLight


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked about every subject alike; see `best_light`."""

    start: date
    end: date
    wanted: WantedLight | None
    after: time | None
    earliest_at: datetime | None
    limit: int | None
    days_around: int  # further days that first and last sun are looked for on
    language: Language = field(default_factory=spoken)  # of the answer, in helping processes too


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """An offer as it is answered: its windows, and whether the sun may dazzle in them."""

    order: Order
    alike: bool
    dazzles: bool
    windows: tuple[LightWindow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What was found at some of the subjects; `named` in order, no more than asked for."""

    asked: tuple[Asked, ...]
    named: tuple[Named, ...]
    soonest: Named | None
    count: int  # of all offers, named or not
    alike: int  # of these, much the same as one before
    unmatched: Mapping[str, Unmatched]
    without: tuple[str, ...]  # "winding house from detail": whose own wish finds no window


def days_around(notebook: Notebook, subjects: Sequence[Subject], wanted: WantedLight | None) -> int:
    """How many days before and after the period belong to the question."""
    from backbearing.notebook.subjects import list_camera_positions

    ids = {one.id for one in subjects}
    kept = [each.wanted for each in list_camera_positions(notebook) if each.subject_id in ids]
    kept += [one.wanted for one in subjects]
    wishes = [wanted] if wanted is not None else [wish for wish in kept if wish is not None]
    return 1 if any(needs_first_or_last_sun(wish) for wish in wishes) else 0


def work_out(
    notebook: Notebook,
    subjects: Sequence[Subject],
    question: Question,
    *,
    made: list[MadeSkyline] | None = None,
    progress: Callable[[str], None] | None = None,
) -> Share:
    """When is the light right at these subjects?

    made: takes the skylines that were worked out, in place of the notebook.
    Raises NotebookError.
    """
    asked = _asked(notebook, subjects, question.wanted, made, progress)
    found: list[Offer] = []
    unmatched: dict[str, Unmatched] = {}
    without: list[str] = []
    apart = spacing_days((question.end - question.start).days + 1)
    for count, (one, minutes, local) in enumerate(_minutes(asked, question), start=1):
        if progress is not None:
            progress(f"light at {one.subject.name} ({count} of {len(asked)})")
        judged = judge(one, minutes, local)
        if judged.cut:  # light over a midnight is one window, of the day it begins on
            judged = judge(one, *_farther(one, question))
        if judged.missing is not None:
            unmatched[one.subject.uid or one.subject.name] = judged.missing
        without += [
            say("{subject} from {name}", subject=one.subject.name, name=name)
            for name in judged.without
        ]
        found += offers(
            one.subject.name,
            judged.clear,
            judged.overcast,
            apart_days=apart,
            wished=one.wished,
            looked=(question.start, question.end),
        )
    found.sort(key=lambda offer: offer.order)
    generic = _without_wish(asked)
    soonest = min(found, key=lambda o: _sooner(o.windows[0].window, generic), default=None)
    return Share(
        asked=tuple(asked),
        named=tuple(_named(offer) for offer in found[: question.limit]),
        soonest=None if soonest is None else _named(soonest),
        count=len(found),
        alike=sum(offer.alike for offer in found),
        unmatched=unmatched,
        without=tuple(without),
    )


def joined(shares: Sequence[Share], limit: int | None) -> Share:
    """Shares of one question as the one share that it would have been."""
    if len(shares) == 1:
        return shares[0]
    asked = tuple(one for share in shares for one in share.asked)
    named = sorted((n for share in shares for n in share.named), key=lambda n: n.order)
    generic = _without_wish(asked)
    soonest = [share.soonest for share in shares if share.soonest is not None]
    return Share(
        asked=asked,
        named=tuple(named[:limit]),
        soonest=min(
            sorted(soonest, key=lambda n: n.order),
            key=lambda n: _sooner(n.windows[0], generic),
            default=None,
        ),
        count=sum(share.count for share in shares),
        alike=sum(share.alike for share in shares),
        unmatched={key: one for share in shares for key, one in share.unmatched.items()},
        without=tuple(name for share in shares for name in share.without),
    )


def _named(offer: Offer) -> Named:
    return Named(
        order=offer.order,
        alike=offer.alike,
        dazzles=any(candidate.dazzles for candidate in offer.windows),
        windows=tuple(offered(offer)),
    )


def _sooner(window: LightWindow, generic: Set[str]) -> tuple[bool, bool, bool, datetime]:
    """The soonest window: a sound one, under a clear sky, of a subject with a wish, if there is."""
    return window.doubtful, window.sky != "clear", window.subject in generic, window.start


def _without_wish(asked: Sequence[Asked]) -> set[str]:
    return {one.subject.name for one in asked if not one.wished}


def _asked(
    notebook: Notebook,
    subjects: Sequence[Subject],
    wanted: WantedLight | None,
    made: list[MadeSkyline] | None,
    progress: Callable[[str], None] | None,
) -> list[Asked]:
    from backbearing.notebook.subjects import list_camera_positions

    if not subjects:
        return []
    places = [subject.place for subject in subjects]
    skies = skies_of(notebook, places, progress, subjects=subjects, made=made)
    only = subjects[0].id if len(subjects) == 1 else None
    cameras: dict[int | None, list[CameraPosition]] = {}
    for camera in list_camera_positions(notebook, only):
        cameras.setdefault(camera.subject_id, []).append(camera)
    return [
        Asked(
            subject=subject,
            zone=zone_at(notebook, subject.place),
            standpoints=_standpoints(
                subject, cameras.get(subject.id, []), own_wishes=wanted is None
            ),
            wanted=wanted or subject.wanted,
            place=place_with_height(subject.place, cameras.get(subject.id, []))[0],
            sky=sky,
        )
        for subject, sky in zip(subjects, skies, strict=True)
    ]


def _standpoints(
    subject: Subject, cameras: Sequence[CameraPosition], *, own_wishes: bool
) -> tuple[Standpoint, ...]:
    """Camera positions with their bearings; a facing wall's back bearing stands in for one."""
    if not cameras:
        return (Standpoint(name="main", bearing=camera_line(None, subject.facing_deg)),)
    return tuple(
        Standpoint(
            name=camera.name,
            bearing=camera_line(camera.bearing, subject.facing_deg),
            top_deg=camera.top_deg or 0.0,
            wanted=camera.wanted if own_wishes else None,
        )
        for camera in cameras
    )


_same_minutes = lru_cache(maxsize=2)(local_minutes)  # one share after another asks for them


def _farther(one: Asked, question: Question) -> tuple[SpotMinutes, LocalMinutes]:
    """A subject's minutes with the days before and after, for light that goes over midnight.

    A day does: what runs for longer is cut at each midnight anyway.
    """
    local = _same_minutes(
        question.start,
        question.end,
        one.zone,
        days_around=question.days_around,
        days_reached=1,
        after=question.after,
        earliest_at=question.earliest_at,
    )
    return next(spots_minutes(local, [one.place], [one.sky])), local


def _minutes(
    asked: Sequence[Asked], question: Question
) -> Iterator[tuple[Asked, SpotMinutes, LocalMinutes]]:
    """Each subject's minutes; those on one clock are worked out together."""
    for zone in dict.fromkeys(one.zone for one in asked):
        group = [one for one in asked if one.zone == zone]
        local = _same_minutes(
            question.start,
            question.end,
            zone,
            days_around=question.days_around,
            after=question.after,
            earliest_at=question.earliest_at,
        )
        spots = spots_minutes(local, [one.place for one in group], [one.sky for one in group])
        for one, minutes in zip(group, spots, strict=True):
            yield one, minutes, local
