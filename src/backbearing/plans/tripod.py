"""What is read at the tripod, for the subjects of a return page: seconds, marks, the plate.

kit ──► batch, lens, camera ──┬─► each subject's lead window ──► seconds through it, both skies
                              ├─► meter → seconds, distance → mark
                              └─► the plate with the subject in it
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput
from backbearing.plans.soundness import leading
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose import TripodTables
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.plans.expose.tablelight import TableLight
    from backbearing.plans.focus import FocusTable
    from backbearing.plans.framing import FrameAnswer
    from backbearing.plans.page import ReturnSubject
    from backbearing.records import ApertureMark, Batch, Kit, Lens, LightWindow, Times

MOST_SUBJECTS = 6  # whose seconds and plates are told, those whose light comes first
AROUND = timedelta(hours=1)  # told before the window and after it
_AFTER = timedelta(hours=2)  # of light an exposure begun at the end may take
SKIES = ("clear", "overcast")
_DRAWN_MOMENTS, _TOLD_MOMENTS = 72, 6
_USUAL_F = 16.0
_MENTION_STOPS = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """A minute and the exposures begun then, under the wanted sky and the other."""

    at: datetime
    seconds: tuple[Seconds | None, Seconds | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowCourse:
    """The seconds a subject needs from an hour before a window to an hour after it."""

    subject: str
    window: LightWindow
    skies: tuple[str, str]  # that of the window first
    bellows_stops: float
    start: Seconds | None
    best: Seconds | None
    end: Seconds | None
    moments: tuple[Moment, ...]  # in even steps, for drawing
    told: tuple[Moment, ...]  # some of them, on round minutes
    light: TableLight  # at its best minute, for tables
    face: str  # which way it is taken to look, and why
    rests_on: tuple[str, ...]  # the rest of it that is not the place's own
    # from and to: the skyline's error leaves open whether the sun is seen, and that is a stop
    in_doubt: tuple[tuple[datetime, datetime], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlatePicture:
    """The plate with a subject in it; why: where that cannot be told."""

    subject: str
    frame: FrameAnswer | None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tripod:
    """All of a kit that stands on a return page."""

    batch: Batch | None
    batch_basis: str  # why this one, where there are several
    aperture: ApertureMark
    lens: str
    focal_mm: float | None = None
    courses: tuple[WindowCourse, ...] = ()
    meter: TripodTables | None = None
    focus: FocusTable | None = None
    pictures: tuple[PlatePicture, ...] = ()


def tripod(
    notebook: Notebook,
    subjects: Sequence[ReturnSubject],
    progress: Callable[[str], None] | None = None,
    *,
    batch_name: str | None = None,
    mark: str | None = None,
) -> Tripod | None:
    """What does the kit on record say at these subjects; None where there is none?

    The batch is the one named, else the one most plates are loaded with, else the first; camera
    and lens are the first on record; the aperture is the mark given, else the lens's nearest to
    f/16. Raises BadInput for a mark that is none and NotFound for an unknown batch.
    """
    from backbearing.notebook.kit import find_batch, load_kit
    from backbearing.places.apertures import f_number
    from backbearing.records import ApertureMark

    kit = load_kit(notebook)
    if not kit.batches and not (kit.cameras and kit.lenses):
        return None
    tell = progress or (lambda line: None)
    if batch_name is None:
        batch, basis = _batch(notebook, kit)
    else:
        batch, basis = find_batch(notebook, batch_name), ""
    lens = next(iter(kit.lenses), None)
    usual = ApertureMark(engraved="16", f_number=_USUAL_F)
    marks = lens.apertures if lens else ()
    aperture = min(marks, key=lambda m: abs(math.log(m.f_number / _USUAL_F)), default=usual)
    if mark is not None:
        aperture = f_number(mark, None, where="--aperture")
    lit = [each for each in subjects if each.windows]
    lit = sorted(lit, key=lambda each: _lead(each).start)[:MOST_SUBJECTS]
    courses = []
    for number, each in enumerate(lit if batch else (), start=1):
        assert batch is not None  # noqa: S101 - none is gone through without one
        tell(f"seconds: {number} of {len(lit)}")
        try:
            courses.append(_course(notebook, each, batch, aperture, lens))
        except BadInput:  # a batch or a distance that will not do
            continue
    shown = lit or list(subjects[:MOST_SUBJECTS])
    return Tripod(
        batch=batch,
        batch_basis=basis,
        aperture=aperture,
        lens=lens.name if lens else "",
        focal_mm=lens.focal_mm if lens else None,
        courses=tuple(courses),
        meter=_meter(notebook, batch, lens, courses[0].light if courses else None),
        focus=_focus(kit),
        pictures=_pictures(notebook, shown) if kit.cameras and kit.lenses else (),
    )


def _lead(each: ReturnSubject) -> LightWindow:
    return leading(each.windows) or each.windows[0]


def _batch(notebook: Notebook, kit: Kit) -> tuple[Batch | None, str]:
    from backbearing.notebook.plates import list_plates

    if len(kit.batches) < 2:
        return next(iter(kit.batches), None), ""
    known = {batch.name.casefold(): batch for batch in kit.batches}
    loaded = Counter(
        plate.batch.casefold() for plate in list_plates(notebook) if plate.state == "loaded"
    )
    for name, _ in loaded.most_common():
        if name in known:
            return known[name], "loaded"
    return kit.batches[0], say("the first on record")


def _meter(
    notebook: Notebook, batch: Batch | None, lens: Lens | None, light: TableLight | None
) -> TripodTables | None:
    from backbearing.plans.expose import tripod_tables

    if batch is None:
        return None
    try:
        return tripod_tables(
            notebook, batch_name=batch.name, lens_name=lens.name if lens else None, light=light
        )
    except BadInput:  # a speed or a table that will not do: `expose` says so
        return None


def _focus(kit: Kit) -> FocusTable | None:
    from backbearing.plans.focus import focus_table

    lens = next(iter(kit.lenses), None)
    if lens is None or not lens.focus_marks or not kit.cameras:
        return None
    try:
        return focus_table(kit.cameras[0], lens)
    except BadInput:
        return None


def _pictures(notebook: Notebook, shown: Sequence[ReturnSubject]) -> tuple[PlatePicture, ...]:
    from backbearing.errors import NotFound
    from backbearing.plans.framing import frame

    found = []
    for each in shown:
        name = each.subject.name
        position = _lead(each).camera_position if each.windows else ""
        known = {camera.name for camera in each.cameras}
        try:
            answer = frame(notebook, name, position_name=position if position in known else None)
            found.append(PlatePicture(subject=name, frame=answer))
        except (BadInput, NotFound) as error:
            remedy = f"; {error.remedy}" if error.remedy else ""
            found.append(PlatePicture(subject=name, frame=None, why=f"{error.what}{remedy}"))
    return tuple(found)


class SkyExposures:
    """The exposures of a scene begun at some minutes, by sky; each is worked out once.

    times: minutes in order, with as many after the last one as an exposure may take.
    """

    def __init__(self, scene: Scene, way: Setup, times: Times) -> None:
        from backbearing.plans.expose.course import course_of

        self.scene, self.way = scene, way
        self.courses = {sky: course_of(scene, times, sky=sky, ground="grass") for sky in SKIES}
        self._known: dict[tuple[str, datetime], Seconds | None] = {}

    def at(self, sky: str, when: datetime) -> Seconds | None:
        """The exposure begun at the minute nearest to an instant; None where it cannot be told."""
        if (sky, when) not in self._known:
            course = self.courses[sky]
            self._known[sky, when] = course.seconds(self.way, course.at(when))[0]
        return self._known[sky, when]


def camera_set(
    notebook: Notebook,
    each: ReturnSubject,
    position: str,
    batch: Batch,
    mark: ApertureMark,
    focal_mm: float | None,
) -> tuple[Scene, Setup]:
    """A subject as seen from a camera position, by name, and what is set there.

    Raises BadInput for a batch or a distance that will not do, NotebookError.
    """
    from backbearing.plans.brightness import scene_of
    from backbearing.plans.expose.seconds import setup

    camera = next((c for c in each.cameras if c.name == position), None)
    scene = scene_of(notebook, each.subject, camera=camera)
    distance_m = scene.camera.distance_m if scene.camera else None
    return scene, setup(batch, mark.f_number, focal_mm=focal_mm, distance_m=distance_m)


def _course(
    notebook: Notebook, each: ReturnSubject, batch: Batch, mark: ApertureMark, lens: Lens | None
) -> WindowCourse:
    window = _lead(each)
    focal_mm = lens.focal_mm if lens else None
    scene, way = camera_set(notebook, each, window.camera_position, batch, mark, focal_mm)
    first, last = window.start - AROUND, window.end + AROUND
    begin = np.datetime64(first.astimezone(UTC).replace(tzinfo=None), "m")
    minutes = round((last + _AFTER - first) / timedelta(minutes=1))
    times = begin + np.arange(minutes + 1).astype("timedelta64[m]")
    return course_through(window, each.subject.name, SkyExposures(scene, way, times))


def course_through(
    window: LightWindow,
    name: str,
    exposures: SkyExposures,
    *,
    drawn: int = _DRAWN_MOMENTS,
    step_min: int = 1,
) -> WindowCourse:
    """The seconds of a subject from an hour before a window to an hour after it.

    exposures: of all these minutes. drawn, step_min: so many moments at most, on multiples of so
    many minutes.
    """
    from backbearing.places.zones import clock_text
    from backbearing.plans.expose.tablelight import light_then

    skies = ("overcast", "clear") if window.sky == "overcast" else ("clear", "overcast")
    first, last = window.start - AROUND, window.end + AROUND
    seconds, own = exposures.at, exposures.courses[skies[0]]
    scene = exposures.scene

    def at(when: datetime) -> Moment:
        return Moment(at=when, seconds=(seconds(skies[0], when), seconds(skies[1], when)))

    return WindowCourse(
        subject=name,
        window=window,
        skies=skies,
        bellows_stops=exposures.way.bellows_stops,
        start=seconds(skies[0], window.start),
        best=seconds(skies[0], window.best),
        end=seconds(skies[0], window.end),
        moments=tuple(at(when) for when in _even(first, last, drawn, step_min)),
        told=tuple(at(when) for when in _even(first, last, _TOLD_MOMENTS, 10)),
        face=scene.face.words,
        light=light_then(own, own.at(window.best), name, clock_text(window.best, window.zone)),
        rests_on=tuple(t for t in own.light.rests_on if t not in scene.rests_on),
    )


def _even(first: datetime, last: datetime, most: int, round_min: int) -> list[datetime]:
    """Moments in even steps of whole `round_min` minutes, `most` or fewer, the first one round."""
    minutes = (last - first) / timedelta(minutes=1)
    step = timedelta(minutes=round_min * max(1, math.ceil(minutes / round_min / most)))
    past = timedelta(minutes=first.minute % round_min, seconds=first.second)
    at = first - past if not past else first + timedelta(minutes=round_min) - past
    found = []
    while at <= last:
        found.append(at)
        at += step
    return found
