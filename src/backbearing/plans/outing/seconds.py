"""How long a plate takes at a subject in the light of a window."""

from __future__ import annotations

import math
from datetime import UTC, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.exposing import Exposing
from backbearing.plans.brightness import scene_of
from backbearing.plans.expose.course import course_of
from backbearing.plans.expose.tablelight import TableLight

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.course import Course
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.records import LightWindow, Subject

_ON = timedelta(hours=2)  # an exposure may go on as long
_LOOKED_AT = 60  # moments of a window, to which the exposure is worked out


class Exposures:
    """Seconds at subjects for one camera and batch; a subject's skyline is looked up once."""

    def __init__(self, notebook: Notebook, setup: Setup | None) -> None:
        self.notebook = notebook
        self.setup = setup
        self.scenes: dict[str, Scene] = {}

    def at(self, subject: Subject, when: datetime, sky: str) -> Seconds | None:
        """The exposure begun at an instant under a sky; None where it is dark or no batch named."""
        if self.setup is None:
            return None
        return self._course(subject, when, sky).seconds(self.setup, 0)[0]

    def through(self, subject: Subject, window: LightWindow) -> Exposing | None:
        """The exposure at the long end by the moment of a window it is begun; None without batch.

        A minute apart in a window of an hour, in a longer one so that there are as many.
        """
        if self.setup is None:
            return None
        course = self._course(subject, window.start, window.sky, until=window.end)
        minutes = math.ceil((window.end - window.start) / timedelta(minutes=1))
        begins, lasts = [], []
        for minute in range(0, minutes + 1, max(1, math.ceil(minutes / _LOOKED_AT))):
            found, _ = course.seconds(self.setup, minute)
            begins.append(course.instant(minute).timestamp())
            lasts.append(math.inf if found is None else found.high_s)
        return Exposing(begins=tuple(begins), lasts_s=tuple(lasts))

    def light(self, subject: Subject, when: datetime, sky: str, words: str) -> TableLight:
        """The light there by its colour, for tables of seconds. words: what to call it."""
        course = self._course(subject, when, sky)
        return TableLight(
            words=words,
            sun_altitude_deg=float(course.light.sun_altitude_deg[0]),
            direct_share=float(course.sun_share[0]),
            sky=sky,
        )

    def _course(
        self, subject: Subject, when: datetime, sky: str, until: datetime | None = None
    ) -> Course:
        if subject.name not in self.scenes:
            self.scenes[subject.name] = scene_of(self.notebook, subject)
        start = np.datetime64(when.astimezone(UTC).replace(tzinfo=None), "m")
        minutes = math.ceil(((until or when) - when + _ON) / timedelta(minutes=1))
        times = start + np.arange(minutes + 1).astype("timedelta64[m]")
        return course_of(self.scenes[subject.name], times, sky=sky, ground="grass")
