"""One day of an outing: its legs' usable light, its clock, and how that reads in instants."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from math import inf, isinf
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.exposing import Exposing
from backbearing.models.sun import sun_position
from backbearing.models.timeline import Clock, Demand, LegTime, home_at, outing_clock
from backbearing.models.usablelight import usable_spans
from backbearing.models.walking import night_factor
from backbearing.places.zones import local, zone
from backbearing.plans.outing.answer import OutingTimes, Short

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.outing.ground import LegGround
    from backbearing.records import Leg, LightWindow

SET_UP_S, DARK_CLOTH_SET_UP_S = 20 * 60.0, 40 * 60.0  # common practice, no source
A_PLATE_S = 5 * 60.0  # the same: of handling, besides its exposure
PACK_S = 10 * 60.0  # the same
PARK_S = 10 * 60.0  # the same: from the end of the drive until one walks
ASSUMED_EXPOSURE_S = 60.0
_SMALL_HOURS = 4
_OVERNIGHT_S = 8 * 3600.0  # after the light, to be back by a clock time of the next day
_BEFOREHAND_S = 12 * 3600.0  # before the light, to leave on the evening before
_AROUND = timedelta(hours=36)  # of the window, in which usable light is looked for


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What a day is to hold besides the walk, and its limits."""

    drive_s: float | None = None
    park_s: float = PARK_S  # counts where there is a drive
    leave: time | None = None  # from home, or the start where no drive is given
    back_by: time | None = None  # at the start
    set_up_s: float = SET_UP_S
    plates: int = 2
    a_plate_s: float = A_PLATE_S  # of handling, besides its exposure
    exposure_s: float | None = None  # of one plate
    pack_s: float = PACK_S
    margin_s: float | None = None

    def exposing_s(self, exposure_s: float) -> float:
        """All exposures and what lies between them; the first plate's handling is set-up."""
        return self.plates * exposure_s + (self.plates - 1) * self.a_plate_s

    def exposing(self, one: Exposing) -> Exposing:
        """The same by the moment the first plate is begun, each as long as the light then asks."""
        lasts = []
        for begin in one.begins:
            done = begin + one.lasts(begin)
            for _ in range(self.plates - 1):
                done += self.a_plate_s
                done += one.lasts(done)
            lasts.append(done - begin)
        return Exposing(begins=one.begins, lasts_s=tuple(lasts))

    @property
    def ready_s(self) -> float:
        """From arriving to the first exposure."""
        return self.set_up_s + self.a_plate_s

    @property
    def from_home_s(self) -> float:
        """From home until one walks; 0 where no drive is given."""
        return 0.0 if self.drive_s is None else self.drive_s + self.park_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """A way out and back, with what its legs are like to be on."""

    out: tuple[Leg, ...]
    back: tuple[Leg, ...]
    out_ground: tuple[LegGround, ...]
    back_ground: tuple[LegGround, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """The clock of one window, and the usable light of each leg: (from, until), posix seconds."""

    window: LightWindow
    demand: Demand
    clock: Clock
    out_light: tuple[tuple[float, float], ...]
    back_light: tuple[tuple[float, float], ...]
    exposure_s: float  # of one plate, begun when planned

    @property
    def works(self) -> bool:
        """Whether all of it fits."""
        return self.clock.works

    @property
    def by_torch(self) -> bool:
        """Whether a path is walked out of usable light, as planned or leaving at the latest."""
        dawns = zip(self.demand.out, (self.clock.leave, *self.clock.arrive_slow), strict=False)
        if any(begin < leg.light_from for leg, begin in dawns):
            return True
        dusk = min((leg.light_until for leg in self.demand.back), default=inf)
        return home_at(self.demand, _last_away(self)) > dusk


def day_of(
    walk: Walk,
    window: LightWindow,
    needs: Needs,
    *,
    exposure: Exposing,
    now: datetime | None = None,
) -> Day:
    """What is the clock of a window, at the slow pace and by each leg's light?

    exposure: of one plate. now: nobody leaves before it. Legs that are rough, trackless or
    across water are neither begun before their usable light nor left after it; others are walked
    by torch then, and slower.
    Raises BadInput as `outing_clock` does.
    """
    grounds = (*walk.out_ground, *walk.back_ground)
    light = _light(grounds, window)
    out_light, back_light = light[: len(walk.out_ground)], light[len(walk.out_ground) :]
    demand = Demand(
        out=_legs(walk.out, out_light),
        back=_legs(walk.back, back_light),
        retraced=_legs([_retraced(leg) for leg in walk.out], out_light),
        opens=window.start.timestamp(),
        best=window.best.timestamp(),
        closes=window.end.timestamp(),
        plus_minus_s=window.plus_minus_min * 60.0,
        set_up_s=needs.ready_s,
        exposing=needs.exposing(exposure),
        pack_s=needs.pack_s,
        back_by=_back_by(window, needs.back_by),
        not_before=_not_before(window, needs, now),
        margin_s=needs.margin_s,
    )
    clock = outing_clock(demand)
    one_s = exposure.lasts(clock.expose)
    return Day(
        window=window,
        demand=demand,
        clock=clock,
        out_light=out_light,
        back_light=back_light,
        exposure_s=ASSUMED_EXPOSURE_S if isinf(one_s) else one_s,
    )


def times_of(day: Day, needs: Needs) -> OutingTimes:
    """A day's clock in instants."""
    clock, demand = day.clock, day.demand
    leave = at(clock.leave)
    last_away = _last_away(day)
    return OutingTimes(
        leave_home=None if needs.drive_s is None else leave - timedelta(seconds=needs.from_home_s),
        leave_start=leave,
        set_up_by=at(clock.ready),
        expose=at(clock.expose),
        away_by=maybe(clock.away_by),
        back_by=at(home_at(demand, last_away)),
        last_away=at(last_away),
        back_slow=at(home_at(demand, clock.away)),
        leave_start_by=at(clock.leave_by),
        expose_by=at(clock.expose_by),
        away=at(clock.away),
        back_usual=at(clock.back_usual[-1] if clock.back_usual else clock.away),
        back_limit=maybe(demand.back_by),
    )


def _last_away(day: Day) -> float:
    clock = day.clock
    if isinf(clock.away_by):
        return max(clock.away, clock.done_by + day.demand.pack_s)
    return clock.away_by


def short_of(day: Day) -> tuple[Short, ...]:
    """What stands in the way of a day; of the legs without enough light the worst one."""
    worst: dict[str, Short] = {}
    for each in day.clock.shortfalls:
        number = None if each.leg is None else each.leg + 1
        seconds = None if isinf(each.short_s) else each.short_s
        found = Short(what=each.what, leg=number, short_s=seconds)  # type: ignore[arg-type]
        before = worst.get(each.what)
        if before is None or _amount(found) > _amount(before):
            worst[each.what] = found
    return tuple(worst.values())


def _amount(short: Short) -> float:
    return inf if short.short_s is None else short.short_s


def at(seconds: float) -> datetime:
    """Posix seconds as an aware instant, to the second."""
    return datetime.fromtimestamp(round(seconds), UTC)


def maybe(seconds: float) -> datetime | None:
    """The same; None for one that never comes."""
    return None if isinf(seconds) else at(seconds)


def _legs(legs: Sequence[Leg], light: Sequence[tuple[float, float]]) -> tuple[LegTime, ...]:
    return tuple(
        LegTime(
            usual_s=leg.usual_s,
            slow_s=leg.slow_s,
            light_from=begin,
            light_until=end,
            needs_light=leg.rough,
            dark_factor=night_factor(rough=leg.rough),
        )
        for leg, (begin, end) in zip(legs, light, strict=True)
    )


def _retraced(leg: Leg) -> Leg:
    """A leg walked the other way, in as far as its times go."""
    if leg.retraced_s is None:
        return leg
    slower = leg.slow_s / leg.usual_s if leg.usual_s > 0.0 else 1.0
    return replace(leg, usual_s=leg.retraced_s, slow_s=leg.retraced_s * slower)


def _light(grounds: Sequence[LegGround], window: LightWindow) -> tuple[tuple[float, float], ...]:
    """From when until when each leg has usable light around a window.

    That is the span that holds the window's best minute, else the last before it: (−inf, inf)
    where it never ends, an end of −inf where there is none.
    """
    if not grounds:
        return ()
    middle = np.datetime64(window.best.astimezone(UTC).replace(tzinfo=None), "ms")
    first = middle - np.timedelta64(int(_AROUND.total_seconds() * 1000), "ms")
    count = int(2 * _AROUND.total_seconds() // 60) + 1
    times = first + np.arange(count) * np.timedelta64(60_000, "ms")
    places = list(dict.fromkeys(ground.darkest for ground in grounds))
    altitude = sun_position(
        times[None, :],
        np.array([[latitude] for latitude, _ in places]),
        np.array([[longitude] for _, longitude in places]),
        refraction=False,  # the dark side of `usable_sun_altitude_deg`
    ).altitude_deg
    month = local(window.best, window.zone).month
    found = []
    for ground in grounds:
        sun = altitude[places.index(ground.darkest)]
        spans = usable_spans(times, sun, ground.usable_sun_deg(month))
        begun = [span for span in spans if span[0] <= middle]
        if not begun:
            found.append((-inf, -inf))
            continue
        begin, end = begun[-1]
        found.append(
            (
                -inf if begin == times[0] else _posix(begin),
                inf if end == times[-1] else _posix(end),
            )
        )
    return tuple(found)


def _posix(instant: np.datetime64) -> float:
    return float(instant.astype("datetime64[ms]").astype(np.int64)) / 1000.0


def _back_by(window: LightWindow, limit: time | None) -> float:
    """The limit's instant on the window's day, or on the next.

    On the next where it is past by the time the light begins, and comes again within a night of
    the light's end: 04:30 for a light from 22:00 to 02:00, 01:00 for one of the afternoon.
    """
    if limit is None:
        return inf
    clock = zone(window.zone)
    begin = local(window.start, window.zone)
    on, after = (
        datetime.combine(begin.date() + timedelta(days=days), limit, tzinfo=clock).timestamp()
        for days in (0, 1)
    )
    small_hours = limit.hour < _SMALL_HOURS and begin.hour >= 12
    if on < window.start.timestamp() and (
        small_hours or after - window.end.timestamp() <= _OVERNIGHT_S
    ):
        return after
    return on


def _not_before(window: LightWindow, needs: Needs, now: datetime | None) -> float:
    """When the walk begins at the soonest.

    The clock time to leave at is that of the window's day, or of the day before where it is past
    by the end of the light then: 20:00 for a light from midnight to 02:00.
    """
    earliest = -inf if now is None else now.timestamp()
    if needs.leave is not None:
        begin = local(window.start, window.zone).date()
        on, before = (
            datetime.combine(
                begin - timedelta(days=days), needs.leave, tzinfo=zone(window.zone)
            ).timestamp()
            for days in (0, 1)
        )
        begun = window.start.timestamp() - before - needs.from_home_s
        if on + needs.from_home_s > window.end.timestamp() and begun <= _BEFOREHAND_S:
            on = before
        earliest = max(earliest, on)
    return earliest + needs.from_home_s
