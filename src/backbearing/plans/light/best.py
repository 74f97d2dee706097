"""Which windows are best: the one question of light, put to every subject asked about.

For each subject: the minutes of its local days, the conditions of its wish over them, windows
where all hold; then all subjects' windows in one order, truly different occasions first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadInput
from backbearing.models.ranking import spacing_days
from backbearing.models.wanted import SpotMinutes, needs_first_or_last_sun
from backbearing.places.words import metres_text
from backbearing.places.zones import zone_name
from backbearing.plans.dazzle import CAUTION
from backbearing.plans.heights import place_with_height
from backbearing.plans.light.at import (
    FACE_NOT_KNOWN,
    Asked,
    Standpoint,
    bearing_known,
    judge,
    not_judged,
    wish_of,
)
from backbearing.plans.light.dayends import DayEnd, day_ends
from backbearing.plans.light.order import Offer, offered, offers
from backbearing.plans.light.sky import skies_of
from backbearing.plans.light.spot import LocalMinutes, local_minutes, spots_minutes
from backbearing.plans.standins import camera_line, stood_in
from backbearing.plans.wanted import generic_wish, wanted_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence, Set
    from datetime import date, datetime, time

    from backbearing.notebook import Notebook
    from backbearing.plans.light.unmatched import Unmatched
    from backbearing.records import (
        CameraPosition,
        LightWindow,
        Subject,
        WantedLight,
    )

FIRST_YEAR, LAST_YEAR = 1801, 2198  # the sun's tables, less a year for days around the period
LONGEST_PERIOD_DAYS = 5 * 366
FLAT_HORIZON = (
    "flat horizon assumed: in a gorge or under a wall the sun comes later and leaves earlier"
)
SKYLINE_FROM = "skyline"  # so begins what says which terrain it comes from
NO_WISH = "no wish on record"
_NAMED = 5  # subjects named in one assumption before the rest are counted

WishBasis = Literal["on record", "tried", "generic default"]


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedWish:
    """The light a subject's windows were judged by, and where that wish came from."""

    subject: str
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
    progress: Callable[[str], None] | None = None,
) -> LightAnswer:
    """When, from one local day to another, is the light right at these subjects?

    names: subjects; none means all that are neither made nor gone. wanted: a wish to try in
    place of those on record. after: local clock on the first day before which nothing counts.
    earliest_at: an aware instant, the same. limit: how many dates to answer with (an overcast
    window of a date named already comes along and is not counted). with_day_ends: whether the
    last sun and the dusk of the days named are answered too. progress: told in a line
    what is being worked on.

    Raises NotFound for an unknown name, BadInput for a period that runs backwards, is longer
    than five years or lies outside 1801 to 2198.
    """
    if end < start:
        raise BadInput(
            f"the period ends {end} before it starts {start}",
            where="--to",
            remedy="put the earlier day in --from",
        )
    if start.year < FIRST_YEAR or end.year > LAST_YEAR:
        raise BadInput(
            f"the sun is known for the years {FIRST_YEAR} to {LAST_YEAR}",
            where="--from" if start.year < FIRST_YEAR else "--to",
            remedy="ask about a day within them",
        )
    if (end - start).days >= LONGEST_PERIOD_DAYS:
        raise BadInput("the period is longer than five years", where="--to", remedy="shorten it")
    subjects, left_out = _subjects(notebook, names)
    asked = _asked(notebook, subjects, wanted, progress)
    found: list[Offer] = []
    unmatched: dict[str, Unmatched] = {}
    apart = spacing_days((end - start).days + 1)
    tell = progress or (lambda line: None)
    minutes_of = _minutes(asked, start, end, after, earliest_at)
    for count, (one, minutes, local) in enumerate(minutes_of, start=1):
        tell(f"light at {one.subject.name} ({count} of {len(asked)})")
        clear, overcast, missing = judge(one, minutes, local.inside)
        if missing is not None:
            unmatched[one.subject.uid or one.subject.name] = missing
        wished = one.wanted is not None
        found += offers(one.subject.name, clear, overcast, apart_days=apart, wished=wished)
    found.sort(key=lambda offer: offer.order)
    kept = found if limit is None else found[:limit]
    windows = [(window, offer.alike) for offer in kept for window in offered(offer)]
    soonest = _soonest(found, asked)
    named = [*kept, soonest] if soonest else kept
    return LightAnswer(
        start=start,
        end=end,
        next_window=offered(soonest)[0] if soonest else None,
        windows=tuple(window for window, _ in windows),
        different=sum(not alike for _, alike in windows),
        unmatched=tuple(unmatched[key] for s in subjects if (key := s.uid or s.name) in unmatched),
        wishes=tuple(_judged_wish(one, tried=wanted is not None) for one in asked),
        hindrances=tuple(_hindrances(subjects, {o.windows[0].window.subject for o in named})),
        assumptions=tuple(_assumptions(asked, left_out)),
        cautions=(CAUTION,) if any(c.dazzles for o in named for c in o.windows) else (),
        declination_deg=_declination_deg(asked[0], start) if len(asked) == 1 else None,
        day_ends=day_ends(asked, [window for window, _ in windows]) if with_day_ends else (),
        left_off=len(found) - len(kept),
        left_off_alike=sum(offer.alike for offer in found[len(kept) :]),
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


def _asked(
    notebook: Notebook,
    subjects: Sequence[Subject],
    wanted: WantedLight | None,
    progress: Callable[[str], None] | None,
) -> list[Asked]:
    from backbearing.notebook.settings import get_setting
    from backbearing.notebook.subjects import list_camera_positions

    if not subjects:
        return []
    setting = get_setting(notebook, "zone")
    places = [subject.place for subject in subjects]
    skies = skies_of(notebook, places, progress, subjects=subjects)
    only = subjects[0].id if len(subjects) == 1 else None
    cameras: dict[int | None, list[CameraPosition]] = {}
    for camera in list_camera_positions(notebook, only):
        cameras.setdefault(camera.subject_id, []).append(camera)
    return [
        Asked(
            subject=subject,
            zone=zone_name(subject.place.latitude_deg, subject.place.longitude_deg, setting),
            standpoints=_standpoints(subject, cameras.get(subject.id, [])),
            wanted=wanted or subject.wanted,
            place=place_with_height(subject.place, cameras.get(subject.id, []))[0],
            sky=sky,
        )
        for subject, sky in zip(subjects, skies, strict=True)
    ]


def _standpoints(subject: Subject, cameras: Sequence[CameraPosition]) -> tuple[Standpoint, ...]:
    """Camera positions with their bearings; a facing wall's back bearing stands in for one."""
    if not cameras:
        return (Standpoint(name="main", bearing=camera_line(None, subject.facing_deg)),)
    return tuple(
        Standpoint(
            name=camera.name,
            bearing=camera_line(camera.bearing, subject.facing_deg),
            top_deg=camera.top_deg or 0.0,
        )
        for camera in cameras
    )


def _minutes(
    asked: Sequence[Asked],
    start: date,
    end: date,
    after: time | None,
    earliest_at: datetime | None,
) -> Iterator[tuple[Asked, SpotMinutes, LocalMinutes]]:
    """Each subject's minutes; those on one clock are worked out together."""
    for zone in dict.fromkeys(one.zone for one in asked):
        group = [one for one in asked if one.zone == zone]
        whole_days = any(one.wanted and needs_first_or_last_sun(one.wanted) for one in group)
        local = local_minutes(
            start,
            end,
            zone,
            days_around=1 if whole_days else 0,
            after=after,
            earliest_at=earliest_at,
        )
        spots = spots_minutes(local, [one.place for one in group], [one.sky for one in group])
        for one, minutes in zip(group, spots, strict=True):
            yield one, minutes, local


# ---------------------------------------------------------------- what comes with it


def _soonest(found: Sequence[Offer], asked: Sequence[Asked]) -> Offer | None:
    """The soonest window: a sound one, under a clear sky, of a subject with a wish, if there is."""
    generic = {one.subject.name for one in asked if one.wanted is None}

    def rank(offer: Offer) -> tuple[bool, bool, bool, datetime]:
        window = offer.windows[0].window
        return window.doubtful, window.sky != "clear", window.subject in generic, window.start

    return min(found, key=rank, default=None)


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


def _judged_wish(one: Asked, *, tried: bool) -> JudgedWish:
    if one.wanted is not None:
        basis: WishBasis = "tried" if tried else "on record"
        words = wanted_words(one.wanted, facing_deg=one.facing_deg)
        return JudgedWish(subject=one.subject.name, words=words, basis=basis)
    words = wanted_words(wish_of(one), facing_deg=one.facing_deg)
    return JudgedWish(subject=one.subject.name, words=words, basis="generic default")


def _assumptions(asked: Sequence[Asked], left_out: Sequence[Subject]) -> Iterator[str]:
    yield from _horizons(asked)
    generic = [one for one in asked if one.wanted is None]
    for known in (True, False):
        named = [one.subject.name for one in generic if bearing_known(one) is known]
        if named:
            wish = wanted_words(generic_wish(bearing_known=known))
            without = "" if known else ", and no bearing to judge the side by"
            yield f"{NO_WISH} for {_listed(named)}{without}: generic default ({wish})"
    faceless = [
        one.subject.name for one in asked if wish_of(one).direct_sun and one.facing_deg is None
    ]
    if len(asked) > 1 and faceless:  # of one subject its windows say it
        yield f"{FACE_NOT_KNOWN}: {_listed(faceless)}"
    stand_ins: dict[str, list[str]] = {}
    for one in asked:
        for standpoint in one.standpoints:
            phrase = stood_in(standpoint.bearing)
            if phrase:
                stand_ins.setdefault(phrase, []).append(_seen_from(one, standpoint))
    for phrase, named in sorted(stand_ins.items()):
        yield f"camera bearing of {_listed(named)} assumed: {phrase}"
    without_bearing = [
        f"camera position {standpoint.name} of {one.subject.name}"
        for one in asked
        for standpoint in not_judged(one)
    ]
    if without_bearing:
        yield f"not judged, as no bearing from it is on record: {_listed(without_bearing)}"
    if left_out:
        yield f"left out, as made or gone: {_listed([s.name for s in left_out])}"


def _horizons(asked: Sequence[Asked]) -> Iterator[str]:
    """What bounds the sky: the skylines of the terrain on record, and where there is none."""
    flat = [one for one in asked if not one.ground_known]
    if flat and len(flat) == len(asked):
        yield FLAT_HORIZON
    elif flat:
        yield f"{FLAT_HORIZON} (at {_listed([one.subject.name for one in flat])})"
    known = [one.sky.skyline for one in asked if one.ground_known]
    if len(asked) == 1 and known:
        yield f"{SKYLINE_FROM} from {known[0].basis}"
    reaches_m = [float(each.reach_m.min()) for each in known if each.cell_m is not None]
    if len(asked) > 1 and reaches_m:  # each window's own `rests_on` says it in full
        reach_m = min(reaches_m)
        reach = metres_text(reach_m)
        yield f"{SKYLINE_FROM}s from the terrain on record, which reaches {reach} or more"
    yield from sorted({one.sky.skyline.basis for one in flat} - {"flat horizon assumed"})


def _seen_from(one: Asked, standpoint: Standpoint) -> str:
    """The subject's name, with the camera position where it has several."""
    several = len(one.standpoints) > 1
    return f"{one.subject.name} from {standpoint.name}" if several else one.subject.name


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_NAMED])
    return shown if len(names) <= _NAMED else f"{shown} and {len(names) - _NAMED} more"
