"""An outing from door to door: one light window, the ways there and back, the clock of it all.

The ways and what their legs are like are found once; each candidate window then needs its clock
only.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.models.walking import PATH_NIGHT_FACTOR
from backbearing.places.zones import local
from backbearing.plans.light import best_light
from backbearing.plans.light.best import FIRST_YEAR, LAST_YEAR
from backbearing.plans.light.sky import Sky
from backbearing.plans.outing.answer import (
    BackLeg,
    Budget,
    OutingAnswer,
    OutLeg,
    SunOnGround,
)
from backbearing.plans.outing.clocks import Clocks, Question, camera_of
from backbearing.plans.outing.day import (
    ASSUMED_EXPOSURE_S,
    Day,
    Walk,
    at,
    maybe,
    short_of,
    times_of,
)
from backbearing.plans.outing.ground import TREES_REACH_M, LegGround
from backbearing.plans.outing.near import Other, others_near
from backbearing.plans.outing.seconds import Exposures
from backbearing.plans.pace import pace_of
from backbearing.plans.settings import zone_at
from backbearing.plans.sunsince import in_sun_since
from backbearing.records import Place
from backbearing.saying import phrase, say, say_n

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from backbearing.notebook import Notebook
    from backbearing.records import Approach, CameraPosition, LightWindow, Subject

COMING_DAYS = 28  # looked at where no day is given
SEARCH_DAYS = 60  # for the next day that works
CAUTIONS = (
    phrase(
        "Times are estimates. Weather, avalanche, ice, water level, tides "
        "and closures are outside this tool; local rules and trained "
        "judgement come first."
    ),
    phrase(
        "Under cloud it is dark earlier. Never look at the sun through a lens, a finder or a loupe."
    ),
)


def outing(
    notebook: Notebook,
    name: str,
    question: Question,
    *,
    now: datetime,
    progress: Callable[[str], None] | None = None,
) -> OutingAnswer:
    """When to leave, to be set up, to turn back, for a subject's light, and what else is near?

    now: an aware instant; nobody leaves before it, and of a window that has begun only the rest
    counts. Deadlines hold at the slow pace. Where the day cannot work, `short` says what is
    missing and by how much, and `next_day` names the next that works, within 60 days.

    Raises BadInput where there is no light as wanted, no way, no ground known at an end, or the
    numbers mean nothing, and NotFound for unknown names, NotebookError.
    """
    from backbearing.notebook.subjects import find_subject, list_camera_positions

    tell = progress or (lambda line: None)
    subject = find_subject(notebook, name)
    cameras = list_camera_positions(notebook, subject.id)
    zone = zone_at(notebook, subject.place)
    today = local(now, zone).date()
    if question.day is not None and not FIRST_YEAR <= question.day.year <= LAST_YEAR:
        raise BadInput(
            say(
                "the sun is known for the years {first_year} to {last_year}",
                first_year=FIRST_YEAR,
                last_year=LAST_YEAR,
            ),
            where="--date",
            remedy=say("ask about a day within them"),
        )
    tell(f"light at {subject.name}")
    first, last = question.day or today, question.day or _on(today, COMING_DAYS - 1)
    windows = _windows(notebook, subject, first, last, now, today)
    if not windows:
        raise _no_light(notebook, subject, first, last, now, today)
    if question.number is not None and question.number > len(windows):
        raise BadInput(
            say_n(
                "there is {number} light window at {subject} {coming_days}",
                "there are {number} light windows at {subject} {coming_days}",
                len(windows),
                subject=quoted(subject.name),
                coming_days=say("that day")
                if question.day
                else say("in the coming {coming_days} days", coming_days=COMING_DAYS),
            ),
            where="--window",
            remedy=say("give a number from 1 to {windows}, or leave it out", windows=len(windows)),
        )
    chosen = windows[question.number - 1] if question.number is not None else windows[0]
    pace = pace_of(notebook, question.pace, progress=progress)
    exposures = Exposures(notebook, question.setup, question.lens)
    clocks = Clocks(notebook, subject, cameras, question, pace, exposures, now, progress)
    day = clocks.first_of([chosen] if question.number is not None else windows)
    sought_until, next_day = None, None
    if not day.works:
        tell("the next day that works")
        sought_until = _on(max(day.window.day, today), SEARCH_DAYS)
        later = _windows(
            notebook, subject, max(_on(day.window.day, 1), today), sought_until, now, today
        )
        later.sort(key=lambda each: each.start)
        next_day, unseen = clocks.next_of(later)
        if unseen is not None:  # judged until then, not farther
            sought_until = _on(unseen.day, -1)
    camera, way, walk = clocks.ways[day.window.camera_position]
    here = camera.place if camera is not None else subject.place
    tell("what else is near")
    near = others_near(
        notebook,
        here,
        day,
        _others(notebook, subject, day.window, now, today),
        needs=question.needs,
        pace=pace,
        going=question.going,
        exposures=exposures,
    )
    exposure = exposures.at(
        subject, at(day.clock.expose), day.window.sky, day.window.camera_position
    )
    times = times_of(day, question.needs)
    clock = day.clock
    return OutingAnswer(
        subject=subject.name,
        camera_position=camera.name if camera is not None else "",
        zone=zone,
        day=day.window.day,
        start_name=question.start_name,
        window=day.window,
        window_begun=day.window.start <= now + timedelta(minutes=1) and day.window.end > now,
        works=day.works,
        times=times,
        slack_start_s=max(0.0, clock.leave_by - clock.leave),
        slack_away_s=None if times.away_by is None else max(0.0, clock.away_by - clock.away),
        out=tuple(_out_legs(walk, day)),
        back=tuple(_back_legs(walk, day)),
        short=short_of(day),
        next_day=next_day,
        sought_until=sought_until,
        near=near,
        batch=question.setup.batch.name if question.setup is not None else "",
        f_number=question.setup.f_number if question.setup is not None else None,
        exposure=exposure,
        budget=Budget(
            drive_s=question.needs.drive_s,
            park_s=None if question.needs.drive_s is None else question.needs.park_s,
            set_up_s=question.needs.ready_s,
            plates=question.needs.plates,
            exposure_s=day.exposure_s,
            exposing_s=clock.exposing_s,
            pack_s=question.needs.pack_s,
            margin_s=clock.margin_s,
        ),
        way=way,
        blocked=subject.blocked,
        next_time=subject.next_time,
        loaded=_loaded(notebook),
        rests_on=(
            *_rests_on(question, day, walk, way, exposure is not None),
            *filter(None, [exposures.bellows(subject, day.window.camera_position)]),
            *clocks.left_out(day),
        ),
        cautions=tuple(map(say, CAUTIONS)),
    )


# ---------------------------------------------------------------- windows and days


def _on(day: date, days: int) -> date:
    """So many days on, as far as the sun is known."""
    return min(day + timedelta(days=days), date(LAST_YEAR, 12, 31))


def _windows(
    notebook: Notebook, subject: Subject, first: date, last: date, now: datetime, today: date
) -> list[LightWindow]:
    """A subject's windows in the order of `light`, those over already left out."""
    found = best_light(
        notebook,
        [subject.name],
        start=first,
        end=last,
        earliest_at=now if first == today else None,
    )
    return list(found.windows)


def _no_light(
    notebook: Notebook, subject: Subject, first: date, last: date, now: datetime, today: date
) -> BadInput:
    """Why there is no light, and when there is."""
    when = (
        say("on {first}", first=first)
        if first == last
        else say("from {first} to {last}", first=first, last=last)
    )
    later = _windows(
        notebook, subject, max(_on(last, 1), today), _on(max(last, today), SEARCH_DAYS), now, today
    )
    coming = min((each.day for each in later), default=None)
    return BadInput(
        say("{subject} has no light as wanted {when}", subject=quoted(subject.name), when=when),
        where="--date",
        remedy=say("the next is on {coming}", coming=coming)
        if coming is not None
        else say(
            "nor in the {search_days} days after; 'backbearing light' with its name says why",
            search_days=SEARCH_DAYS,
        ),
    )


def _others(
    notebook: Notebook, subject: Subject, window: LightWindow, now: datetime, today: date
) -> list[Other]:
    """All other subjects that have light on a window's days, with where one stands for each."""
    from backbearing.notebook.subjects import list_camera_positions, list_subjects

    found = best_light(
        notebook,
        [],
        start=window.day,
        end=max(window.day, local(window.end, window.zone).date()),
        earliest_at=now if window.day == today else None,
    )
    windows: dict[tuple[str, str], list[LightWindow]] = {}
    for each in found.windows:
        windows.setdefault((each.subject, each.camera_position), []).append(each)
    cameras: dict[int | None, list[CameraPosition]] = {}
    for camera in list_camera_positions(notebook):
        cameras.setdefault(camera.subject_id, []).append(camera)
    by_name = {other.name: other for other in list_subjects(notebook) if other.id != subject.id}
    others = []
    for (name, _), its in windows.items():
        if name not in by_name:
            continue
        other = by_name[name]
        stand = camera_of(cameras.get(other.id, []), its[0])
        place = other.place if stand is None else stand.place
        others.append(Other(subject=other, place=place, windows=tuple(its)))
    return others


def _loaded(notebook: Notebook) -> tuple[str, ...]:
    from backbearing.notebook.plates import list_plates

    return tuple(
        f"{plate.holder} {plate.side}: {plate.batch}"
        for plate in list_plates(notebook)
        if plate.state == "loaded"
    )


# ---------------------------------------------------------------- legs


def _out_legs(walk: Walk, day: Day) -> Iterator[OutLeg]:
    clock, begin = day.clock, day.clock.leave
    for number, (leg, ground) in enumerate(zip(walk.out, walk.out_ground, strict=True)):
        passed = begin + ground.foot_share * leg.usual_s
        begin = clock.arrive_usual[number]
        yield OutLeg(
            leg=leg,
            needs_light=leg.rough,
            usable_from=maybe(day.out_light[number][0]),
            arrive_usual=at(clock.arrive_usual[number]),
            arrive_slow=at(clock.arrive_slow[number]),
            pass_by=at(clock.pass_by[number]),
            turn_back=maybe(clock.turn_back[number]),
            sun=_sun(ground, passed, day.window.zone),
        )


def _back_legs(walk: Walk, day: Day) -> Iterator[BackLeg]:
    clock, begin = day.clock, day.clock.away
    month = local(day.window.best, day.window.zone).month
    for number, (leg, ground) in enumerate(zip(walk.back, walk.back_ground, strict=True)):
        passed = begin + ground.foot_share * leg.usual_s
        begin = clock.back_usual[number]
        yield BackLeg(
            leg=leg,
            needs_light=leg.rough,
            usable_until=maybe(day.back_light[number][1]),
            sky_view=round(ground.sky_view, 3),
            canopy_stops=ground.stops(month),
            arrive_usual=at(clock.back_usual[number]),
            arrive_slow=at(clock.back_slow[number]),
            sun=_sun(ground, passed, day.window.zone),
        )


def _sun(ground: LegGround, passed: float, zone: str) -> SunOnGround | None:
    if ground.foot_skyline is None:
        return None
    latitude, longitude = ground.foot
    place = Place(
        latitude_deg=latitude, longitude_deg=longitude, error_m=0.0, error_basis="on the way"
    )
    sky = Sky(skyline=ground.foot_skyline, error_deg=None)
    found = in_sun_since(sky, place, at(passed), zone)
    return SunOnGround(
        latitude_deg=round(latitude, 6),
        longitude_deg=round(longitude, 6),
        what=ground.foot_what,
        passed_at=at(passed),
        in_sun=found.in_sun,
        since=found.since,
        until=found.until,
    )


# ---------------------------------------------------------------- what it rests on


def _rests_on(
    question: Question, day: Day, walk: Walk, way: Approach, by_batch: bool
) -> Iterator[str]:
    needs = question.needs
    if question.day is None and question.number is None:
        yield say(
            "the best light of the coming {coming_days} days with which a day works",
            coming_days=COMING_DAYS,
        )
    yield from (say("light: {each}", each=each) for each in day.window.rests_on)
    yield from way.rests_on
    margin = (
        say("as given")
        if needs.margin_s is not None
        else say("half an hour or a quarter of the way out")
    )
    yield say(
        "{margin_min:.0f} min in hand before each limit ({margin})",
        margin_min=day.clock.margin_s / 60.0,
        margin=margin,
    )
    parked = (
        ""
        if needs.drive_s is None
        else say("{park_min:.0f} min to park, ", park_min=needs.park_s / 60.0)
    )
    yield (
        say(
            "{parked}{ready_min:.0f} min to set up and {pack_min:.0f} to pack, "
            "{a_plate_min:.0f} more for each further plate: common practice, "
            "no source, unless told",
            parked=parked,
            ready_min=needs.ready_s / 60.0,
            pack_min=needs.pack_s / 60.0,
            a_plate_min=needs.a_plate_s / 60.0,
        )
    )
    if needs.exposure_s is None:
        yield (
            say(
                "exposures by the batch at the long end of their range, as long as "
                "the light asks when they are begun; the seconds shown are those "
                "of the minute planned"
            )
            if by_batch
            else say(
                "exposures of {assumed_exposure_s:.0f} s assumed: name a batch or --exposure",
                assumed_exposure_s=ASSUMED_EXPOSURE_S,
            )
        )
    if day.by_torch:
        yield (
            say(
                "by torch, before and after usable light, a path takes × "
                "{path_night_factor:.2f} of its time: common practice, no source",
                path_night_factor=PATH_NIGHT_FACTOR,
            )
        )
    rough = [leg for leg in (*walk.out, *walk.back) if leg.rough]
    if rough:
        yield (
            say(
                "rough, trackless and water legs only by usable light, 3.4 lx at "
                "their darkest place under a clear sky (Circular 171); paths by "
                "torch"
            )
        )
    if any(ground.trees is not None for ground in (*walk.out_ground, *walk.back_ground)):
        yield say(
            "trees on record at a subject taken to stand within {trees_reach_m:.0f} m of it",
            trees_reach_m=TREES_REACH_M,
        )
    if any(each.foot_skyline is None for each in (*walk.out_ground, *walk.back_ground)):
        yield say("open sky assumed where no terrain is known: under walls it is dark earlier")
