"""A day's clock as the answer of an outing: its legs, its exposure, what all of it rests on."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.models.walking import PATH_NIGHT_FACTOR
from backbearing.places.zones import local
from backbearing.plans.light.sky import Sky
from backbearing.plans.outing.answer import BackLeg, Budget, OutingAnswer, OutLeg, SunOnGround
from backbearing.plans.outing.day import ASSUMED_EXPOSURE_S, at, maybe, short_of, times_of
from backbearing.plans.outing.ground import TREES_REACH_M
from backbearing.plans.sunsince import sun_at, sun_of_day
from backbearing.records import Place
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.outing.answer import Near, OtherDay
    from backbearing.plans.outing.clocks import Clocks, Question
    from backbearing.plans.outing.day import Day, Walk
    from backbearing.plans.outing.ground import LegGround
    from backbearing.records import Approach

    # when it is in sun, by the place and the local day: many a leg goes back over the same
    _Seen = dict[tuple[tuple[float, float], date], list[tuple[datetime, datetime]]]

COMING_DAYS = 28  # looked at where no day is given
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


def answered(
    clocks: Clocks,
    day: Day,
    *,
    zone: str,
    near: tuple[Near, ...] = (),
    next_day: OtherDay | None = None,
    sought_until: date | None = None,
    weighed: bool = True,
) -> OutingAnswer:
    """The answer that a day of these clocks gives.

    zone: IANA name of the clock at the subject. near: what else is near on the day. next_day,
    sought_until: of a day that does not work. weighed: whether the camera positions these clocks
    know were all weighed for this day, and are named. Raises NotebookError.
    """
    question, subject, now = clocks.question, clocks.subject, clocks.now
    seen: _Seen = {}
    camera, way, walk = clocks.ways[day.window.camera_position]
    exposure = clocks.exposures.at(
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
        out=tuple(_out_legs(walk, day, seen)),
        back=tuple(_back_legs(walk, day, seen)),
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
        loaded=_loaded(clocks.notebook),
        rests_on=(
            *_rests_on(question, day, walk, way, exposure is not None),
            *filter(None, [clocks.exposures.bellows(subject, day.window.camera_position)]),
            *(clocks.left_out(day) if weighed else ()),
        ),
        cautions=tuple(map(say, CAUTIONS)),
    )


def _loaded(notebook: Notebook) -> tuple[str, ...]:
    from backbearing.notebook.plates import list_plates

    return tuple(
        f"{plate.holder} {plate.side}: {plate.batch}"
        for plate in list_plates(notebook)
        if plate.state == "loaded"
    )


# ---------------------------------------------------------------- legs


def _out_legs(walk: Walk, day: Day, seen: _Seen) -> Iterator[OutLeg]:
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
            sun=_sun(ground, passed, day.window.zone, seen),
        )


def _back_legs(walk: Walk, day: Day, seen: _Seen) -> Iterator[BackLeg]:
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
            sun=_sun(ground, passed, day.window.zone, seen),
        )


def _sun(ground: LegGround, passed: float, zone: str, seen: _Seen) -> SunOnGround | None:
    if ground.foot_skyline is None:
        return None
    latitude, longitude = ground.foot
    place = Place(
        latitude_deg=latitude, longitude_deg=longitude, error_m=0.0, error_basis="on the way"
    )
    on = local(at(passed), zone).date()
    if (key := (ground.foot, on)) not in seen:
        seen[key] = sun_of_day(Sky(skyline=ground.foot_skyline, error_deg=None), place, on, zone)
    found = sun_at(seen[key], at(passed))
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
