"""How long a plate takes at a subject in the light of a window."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.models.exposing import Exposing
from backbearing.models.exposure import bellows_stops
from backbearing.plans.brightness import scene_of
from backbearing.plans.expose.course import course_of
from backbearing.plans.expose.tablelight import TableLight
from backbearing.saying import say

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.course import Course
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.records import CameraPosition, Lens, LightWindow, Subject

_ON = timedelta(hours=2)  # an exposure may go on as long
_SMALL_STOPS = 0.05  # not worth a word
_LOOKED_AT = 60  # moments of a window, to which the exposure is worked out


class Exposures:
    """Seconds at subjects for one camera and batch; a subject's skyline is looked up once.

    lens: racked out to the distance on record of a camera position; None counts no bellows.
    """

    def __init__(self, notebook: Notebook, setup: Setup | None, lens: Lens | None = None) -> None:
        self.notebook = notebook
        self.setup = setup
        self.lens = lens
        self.scenes: dict[tuple[str, str], Scene] = {}
        self.setups: dict[tuple[str, str], Setup | None] = {}

    def at(self, subject: Subject, when: datetime, sky: str, position: str = "") -> Seconds | None:
        """The exposure begun at an instant under a sky; None where it is dark or no batch named.

        position: the camera's, by name; '' for the first on record.
        """
        setup = self._setup(subject, position)
        if setup is None:
            return None
        return self._course(subject, when, sky, position).seconds(setup, 0)[0]

    def through(
        self, subject: Subject, window: LightWindow, moments: int = _LOOKED_AT
    ) -> Exposing | None:
        """The exposure at the long end by the moment of a window it is begun; None without batch.

        moments: so many of the window are looked at, but none less than a minute apart; between
        two the longer exposure counts.
        """
        setup = self._setup(subject, window.camera_position)
        if setup is None:
            return None
        course = self._course(
            subject, window.start, window.sky, window.camera_position, until=window.end
        )
        minutes = math.ceil((window.end - window.start) / timedelta(minutes=1))
        begins, lasts = [], []
        for minute in range(0, minutes + 1, max(1, math.ceil(minutes / moments))):
            found, _ = course.seconds(setup, minute)
            begins.append(course.instant(minute).timestamp())
            lasts.append(math.inf if found is None else found.high_s)
        return Exposing(begins=tuple(begins), lasts_s=tuple(lasts))

    def light(
        self, subject: Subject, when: datetime, sky: str, words: str, position: str = ""
    ) -> TableLight:
        """The light there by its colour, for tables of seconds. words: what to call it."""
        course = self._course(subject, when, sky, position)
        return TableLight(
            words=words,
            sun_altitude_deg=float(course.light.sun_altitude_deg[0]),
            direct_share=float(course.sun_share[0]),
            sky=sky,
        )

    def _course(
        self,
        subject: Subject,
        when: datetime,
        sky: str,
        position: str,
        until: datetime | None = None,
    ) -> Course:
        start = np.datetime64(when.astimezone(UTC).replace(tzinfo=None), "m")
        minutes = math.ceil(((until or when) - when + _ON) / timedelta(minutes=1))
        times = start + np.arange(minutes + 1).astype("timedelta64[m]")
        return course_of(self._scene(subject, position), times, sky=sky, ground="grass")

    def _scene(self, subject: Subject, position: str) -> Scene:
        key = (subject.name, position)
        if key not in self.scenes:
            camera = _camera(self.notebook, subject, position)
            self.scenes[key] = scene_of(self.notebook, subject, camera=camera)
        return self.scenes[key]

    def bellows(self, subject: Subject, position: str) -> str:
        """Whose bellows count at a camera position and how much, in words; '' where none do."""
        setup = self._setup(subject, position)
        if setup is None:
            return (
                ""
                if self.setup is None
                else say("no seconds: nearer than the lens can be racked out")
            )
        if self.lens is None or setup.bellows_stops < _SMALL_STOPS:
            return ""
        return say(
            "{bellows_stops:.1f} stop counted for the bellows, with {lens}",
            bellows_stops=setup.bellows_stops,
            lens=self.lens.name,
        )

    def _setup(self, subject: Subject, position: str) -> Setup | None:
        """What is set, racked out to a camera position's distance; None too near for the lens."""
        key = (subject.name, position)
        if self.setup is None or self.lens is None:
            return self.setup
        if key not in self.setups:
            camera = self._scene(subject, position).camera
            stops = 0.0
            try:
                if camera is not None and camera.distance_m is not None:
                    stops = bellows_stops(self.lens.focal_mm, camera.distance_m)
                self.setups[key] = replace(self.setup, bellows_stops=stops)
            except BadInput:
                self.setups[key] = None
        return self.setups[key]


def _camera(notebook: Notebook, subject: Subject, position: str) -> CameraPosition | None:
    from backbearing.notebook.subjects import list_camera_positions

    every = list_camera_positions(notebook, subject.id)
    return next((each for each in every if each.name == position), None)
