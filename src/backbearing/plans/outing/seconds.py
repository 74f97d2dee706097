"""How long a plate takes at a subject in the light of a window."""

from __future__ import annotations

from datetime import UTC, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.plans.brightness import scene_of
from backbearing.plans.expose.course import course_of
from backbearing.plans.expose.tablelight import TableLight

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.course import Course
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.records import Subject

_ON = timedelta(hours=2)  # an exposure may go on as long


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

    def light(self, subject: Subject, when: datetime, sky: str, words: str) -> TableLight:
        """The light there by its colour, for tables of seconds. words: what to call it."""
        course = self._course(subject, when, sky)
        return TableLight(
            words=words,
            sun_altitude_deg=float(course.light.sun_altitude_deg[0]),
            direct_share=float(course.sun_share[0]),
            sky=sky,
        )

    def _course(self, subject: Subject, when: datetime, sky: str) -> Course:
        if subject.name not in self.scenes:
            self.scenes[subject.name] = scene_of(self.notebook, subject)
        start = np.datetime64(when.astimezone(UTC).replace(tzinfo=None), "m")
        times = start + np.arange(int(_ON / timedelta(minutes=1)) + 1).astype("timedelta64[m]")
        return course_of(self.scenes[subject.name], times, sky=sky, ground="grass")
