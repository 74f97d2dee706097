"""Which light windows can be reached from a start and left in time: a list cut to them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from backbearing.errors import BadInput
from backbearing.models.exposing import Exposing
from backbearing.places.clocks import read_clock
from backbearing.places.geodesy import inverse
from backbearing.plans.approach import Going, approach
from backbearing.plans.approach.asked import FARTHEST_M
from backbearing.plans.outing.asked import driving_s, parking_s, starting_place
from backbearing.plans.outing.day import (
    ASSUMED_EXPOSURE_S,
    Day,
    Needs,
    Walk,
    day_of,
    short_of,
    times_of,
)
from backbearing.plans.outing.ground import grounds_of
from backbearing.plans.pace import pace_of
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.light import LightAnswer
    from backbearing.plans.outing.answer import OutingTimes, Short
    from backbearing.plans.pace import Pace
    from backbearing.records import CameraPosition, LightWindow, Place, Subject

MOST_WAYS = 60  # found in one question; each takes a fraction of a second


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowReach:
    """The clock of one window that can be reached and left in time."""

    subject: str
    camera_position: str
    sky: str  # 'clear' or 'overcast'
    zone: str
    day: date  # it begins on
    start: datetime  # of the window
    end: datetime
    times: OutingTimes
    walk_slow_s: float  # out


@dataclass(frozen=True, slots=True, kw_only=True)
class Dropped:
    """A subject some or all of whose windows were left out, and why."""

    subject: str
    windows: int
    of: int  # so many were looked at
    least: Short | None  # what the nearest miss was short of; None: it cannot be reached at all
    why: str  # '' where `least` says it


@dataclass(frozen=True, slots=True, kw_only=True)
class ReachedLight:
    """An answer of `light` cut to what can be reached and left in time."""

    answer: LightAnswer
    start_name: str
    windows: tuple[WindowReach, ...]  # one for each window that stays, in their order
    dropped: tuple[Dropped, ...]
    rests_on: tuple[str, ...]

    def cut_to(self, answer: LightAnswer) -> ReachedLight:
        """The same of an answer that keeps only some of these windows."""
        kept = {_key(window) for window in answer.windows}
        windows = tuple(each for each in self.windows if _key(each) in kept)
        return replace(self, answer=answer, windows=windows)


def within_reach(
    notebook: Notebook,
    answer: LightAnswer,
    *,
    start: str | None,
    depart: str | None,
    back_by: str | None,
    limit: int | None,
    now: datetime,
    progress: Callable[[str], None] | None = None,
) -> ReachedLight:
    """Which windows of an answer can be reached on foot from a start, and left in time?

    answer: with all its windows, in order. start: a place; None takes the setting of that name.
    depart: clock time before which nobody leaves home, or the start where no drive is on record;
    the notebook's drive counts, and the time to park. back_by: the latest there. limit:
    how many windows to keep; those after them are not looked at. One plate and the usual set-up
    are counted, all at the slow pace; see `plans.outing.plan.outing`.

    Raises BadInput and NotFound as the readers and `locate` do.
    """
    begin = starting_place(notebook, start)
    needs = Needs(
        drive_s=driving_s(notebook, None),
        park_s=parking_s(notebook, None),
        leave=None if depart is None else read_clock(depart, where="--depart"),
        back_by=None if back_by is None else read_clock(back_by, where="--back-by"),
        plates=1,
    )
    ways = _Ways(notebook, begin.place, begin.name, pace_of(notebook, progress=progress), progress)
    kept: list[tuple[LightWindow, WindowReach]] = []
    missed: dict[str, list[tuple[Short | None, str]]] = {}
    looked: dict[str, int] = {}
    different = looked_at = 0
    for number, window in enumerate(answer.windows):
        if limit is not None and len(kept) == limit:
            break
        looked_at += 1
        looked[window.subject] = looked.get(window.subject, 0) + 1
        walk, why = ways.to(window)
        if walk is None:
            missed.setdefault(window.subject, []).append((None, why))
            continue
        on = now if window.end >= now else None
        day = day_of(walk, window, needs, exposure=Exposing.steady(ASSUMED_EXPOSURE_S), now=on)
        if not day.works:
            missed.setdefault(window.subject, []).append((_worst(day), ""))
            continue
        different += number < answer.different
        kept.append(
            (
                window,
                WindowReach(
                    subject=window.subject,
                    camera_position=window.camera_position,
                    sky=window.sky,
                    zone=window.zone,
                    day=window.day,
                    start=window.start,
                    end=window.end,
                    times=times_of(day, needs),
                    walk_slow_s=sum(leg.slow_s for leg in walk.out),
                ),
            )
        )
    windows = tuple(window for window, _ in kept)
    sound = [window for window in windows if not window.doubtful]
    left_off = len(answer.windows) - looked_at
    return ReachedLight(
        answer=replace(
            answer,
            windows=windows,
            # what the first one left is like was left out
            different=min(max(different, 1), len(windows)),
            next_window=min(sound or windows, key=lambda each: each.start, default=None),
            left_off=answer.left_off + left_off,
            left_off_alike=answer.left_off_alike
            + sum(n >= answer.different for n in range(looked_at, len(answer.windows))),
        ),
        start_name=begin.name,
        windows=tuple(reach for _, reach in kept),
        dropped=tuple(_dropped(name, found, looked[name]) for name, found in missed.items()),
        rests_on=(
            *_from_home(needs),
            say(
                "pace: {basis}; deadlines at the slow pace, 1 plate of "
                "{assumed_exposure_s:.0f} s, 'backbearing outing' plans the day",
                basis=ways.pace.basis,
                assumed_exposure_s=ASSUMED_EXPOSURE_S,
            ),
        ),
    )


def _key(window: LightWindow | WindowReach) -> tuple[str, str, str, datetime]:
    return window.subject, window.camera_position, window.sky, window.start


def _from_home(needs: Needs) -> tuple[str, ...]:
    if needs.drive_s is None:
        return ()
    drive, park = needs.drive_s / 60.0, needs.park_s / 60.0
    return (
        say(
            "from home {drive:.0f} min of drive and {park:.0f} min to park", drive=drive, park=park
        ),
    )


class _Ways:
    """The way to each subject asked about and back, found once."""

    def __init__(
        self,
        notebook: Notebook,
        start: Place,
        start_name: str,
        pace: Pace,
        progress: Callable[[str], None] | None,
    ) -> None:
        from backbearing.notebook.subjects import list_camera_positions, list_subjects

        self.notebook, self.start, self.start_name = notebook, start, start_name
        self.pace, self.progress = pace, progress
        self.subjects: dict[str, Subject] = {one.name: one for one in list_subjects(notebook)}
        self.cameras: dict[int | None, list[CameraPosition]] = {}
        for camera in list_camera_positions(notebook):
            self.cameras.setdefault(camera.subject_id, []).append(camera)
        self.found: dict[tuple[str, str], tuple[Walk | None, str]] = {}

    def to(self, window: LightWindow) -> tuple[Walk | None, str]:
        """The way to a window's camera position, or why there is none."""
        key = window.subject, window.camera_position
        if key not in self.found:
            if len(self.found) >= MOST_WAYS:
                return None, say(
                    "not looked at: ways to {most_ways} places were found already",
                    most_ways=MOST_WAYS,
                )
            self.found[key] = self._way(window)
        return self.found[key]

    def _way(self, window: LightWindow) -> tuple[Walk | None, str]:
        subject = self.subjects[window.subject]
        cameras = self.cameras.get(subject.id, [])
        named = (each for each in cameras if each.name == window.camera_position)
        camera = next(named, cameras[0] if cameras else None)
        place = subject.place if camera is None else camera.place
        _, away_m = inverse(
            self.start.latitude_deg,
            self.start.longitude_deg,
            place.latitude_deg,
            place.longitude_deg,
        )
        if away_m > FARTHEST_M:
            return None, say(
                "{away_km:.0f} km away: too far for a day on foot", away_km=away_m / 1000.0
            )
        if self.progress is not None:
            self.progress(f"the way to {window.subject}")
        try:
            way = approach(
                self.notebook,
                self.start,
                place,
                on=window.day,
                pace=self.pace,
                going=Going(),
                start_name=self.start_name,
                end_name=window.subject,
            )
        except BadInput as error:
            return None, error.what
        grounds = grounds_of(self.notebook, [*way.out, *way.back])
        count = len(way.out)
        return (
            Walk(
                out=way.out,
                back=way.back,
                out_ground=tuple(grounds[:count]),
                back_ground=tuple(grounds[count:]),
            ),
            "",
        )


def _worst(day: Day) -> Short:
    """The largest thing that is short of a day."""
    return max(short_of(day), key=_amount_s)


def _amount_s(short: Short) -> float:
    return float("inf") if short.short_s is None else short.short_s


def _dropped(name: str, found: list[tuple[Short | None, str]], looked: int) -> Dropped:
    shorts = [short for short, _ in found if short is not None]
    return Dropped(
        subject=name,
        windows=len(found),
        of=looked,
        least=min(shorts, key=_amount_s, default=None),
        why="" if shorts else found[0][1],
    )
