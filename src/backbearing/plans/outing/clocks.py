"""The clocks of a subject's windows: a way for each camera position, and what each day needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput
from backbearing.models.exposing import Exposing
from backbearing.plans.approach import Going, approach
from backbearing.plans.kept import kept
from backbearing.plans.outing.answer import OtherDay
from backbearing.plans.outing.day import ASSUMED_EXPOSURE_S, Day, Needs, Walk, day_of, times_of
from backbearing.plans.outing.ground import grounds_of
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Setup
    from backbearing.plans.outing.seconds import Exposures
    from backbearing.plans.pace import Pace
    from backbearing.records import Approach, CameraPosition, Lens, LightWindow, Place, Subject

MOST_CLOCKS = 1000  # windows looked at in one question, a millisecond each
MOST_EXPOSED = 120  # of these, with their exposures, which take some twenty times as long
_INSTANT = Exposing.steady(0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked of an outing, as it was read.

    start: where the walk begins. day: None takes the best window of the coming weeks with which
    the outing works. number: which window, counted from 1 in the order of `light`; None takes
    the first that works.
    """

    start: Place
    start_name: str
    day: date | None
    number: int | None
    needs: Needs
    going: Going
    pace: str | None
    setup: Setup | None
    lens: Lens | None = None  # for the bellows


class Clocks:
    """The clocks of a subject's windows: one way for each camera position, one set of needs."""

    def __init__(
        self,
        notebook: Notebook,
        subject: Subject,
        cameras: Sequence[CameraPosition],
        question: Question,
        pace: Pace,
        exposures: Exposures,
        now: datetime,
        progress: Callable[[str], None] | None,
    ) -> None:
        self.notebook, self.subject, self.cameras = notebook, subject, cameras
        self.question, self.pace, self.exposures = question, pace, exposures
        self.now, self.progress = now, progress
        # by the camera position a window names
        self.ways: dict[str, tuple[CameraPosition | None, Approach, Walk]] = {}
        self.no_way: dict[str, BadInput] = {}

    def first_of(self, windows: Sequence[LightWindow]) -> Day:
        """The day of the first window that works, else of the first that can be walked to.

        Raises BadInput where no way is known to the camera position of any.
        """
        works, _ = self._first_that_works(windows)
        if works is not None:
            return works
        first = next((day for day in map(self.of, windows) if day is not None), None)
        if first is None:
            raise next(iter(self.no_way.values()))
        return first

    def next_of(self, windows: Sequence[LightWindow]) -> tuple[OtherDay | None, LightWindow | None]:
        """The first window that works; else the first that was not looked at, if any was not."""
        day, unseen = self._first_that_works(windows)
        if day is None:
            return None, unseen
        times = times_of(day, self.question.needs)
        return OtherDay(day=day.window.day, window=day.window, times=times), None

    def left_out(self, taken: Day) -> Iterator[str]:
        """Camera positions that were not gone to, and why."""
        for name, error in self.no_way.items():
            yield say(
                "camera position {name} left out: {what}",
                name=name or say("on record"),
                what=error.what,
            )
        others = [name for name in self.ways if name != taken.window.camera_position]
        if others:
            yield say(
                "camera positions weighed: {positions}",
                positions=", ".join([taken.window.camera_position, *others]),
            )

    def _first_that_works(
        self, windows: Sequence[LightWindow]
    ) -> tuple[Day | None, LightWindow | None]:
        exposed = 0
        for number, window in enumerate(windows):
            if number == MOST_CLOCKS or exposed == MOST_EXPOSED:
                return None, window
            # what does not work with exposures of no length needs no light worked out
            if (quick := self.of(window, _INSTANT)) is None or not quick.works:
                continue
            exposed += 1
            day = self.of(window)
            if day is not None and day.works:
                return day, None
        return None, None

    def of(self, window: LightWindow, exposure: Exposing | None = None) -> Day | None:
        """The clock of one window; None where no way leads to its camera position.

        exposure: of one plate; None as the needs and the light tell.
        """
        position = window.camera_position
        if position in self.no_way:
            return None
        if position not in self.ways:
            try:
                self.ways[position] = self._way_to(window)
            except BadInput as error:
                self.no_way[position] = error
                return None
        needs = self.question.needs
        if exposure is None and needs.exposure_s is None:
            exposure = self.exposures.through(self.subject, window)
        if exposure is None:
            exposure = Exposing.steady(needs.exposure_s or ASSUMED_EXPOSURE_S)
        # a day gone by is planned as it might have been
        now = self.now if window.end >= self.now else None
        return day_of(self.ways[position][2], window, needs, exposure=exposure, now=now)

    def _way_to(self, window: LightWindow) -> tuple[CameraPosition | None, Approach, Walk]:
        camera = camera_of(self.cameras, window)
        question = self.question
        place = camera.place if camera is not None else self.subject.place
        names = (question.start_name, _end_name(self.subject, camera))

        def found() -> tuple[Approach, Walk]:
            way = approach(
                self.notebook,
                question.start,
                place,
                on=window.day,
                pace=self.pace,
                going=question.going,
                start_name=names[0],
                end_name=names[1],
                progress=self.progress,
            )
            if self.progress is not None:
                self.progress("the sky over each leg")
            grounds = grounds_of(self.notebook, [*way.out, *way.back], self.progress)
            walk = Walk(
                out=way.out,
                back=way.back,
                out_ground=tuple(grounds[: len(way.out)]),
                back_ground=tuple(grounds[len(way.out) :]),
            )
            return way, walk

        asked = (question.start, place, window.day, self.pace, question.going, names)
        way, walk = kept(self.notebook, "way", asked, found)
        return camera, way, walk


def camera_of(cameras: Sequence[CameraPosition], window: LightWindow) -> CameraPosition | None:
    """The camera position of a window; the first where it names none."""
    named = (each for each in cameras if each.name == window.camera_position)
    return next(named, cameras[0] if cameras else None)


def _end_name(subject: Subject, camera: CameraPosition | None) -> str:
    return (
        subject.name
        if camera is None
        else say("{subject}, camera position {camera}", subject=subject.name, camera=camera.name)
    )
