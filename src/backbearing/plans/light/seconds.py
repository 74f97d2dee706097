"""Light windows with the seconds they need, and only those that stay under a longest exposure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, timedelta
from typing import TYPE_CHECKING, Literal

import numpy as np

from backbearing.errors import BadInput
from backbearing.places.apertures import f_number, f_number_on_any
from backbearing.places.lengths import read_duration_s
from backbearing.plans.brightness import scene_of
from backbearing.plans.expose.choosing import batch_to_use, bellows_words, lens_for_bellows
from backbearing.plans.expose.course import course_of
from backbearing.plans.expose.seconds import setup
from backbearing.saying import say

if TYPE_CHECKING:
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.brightness import Scene
    from backbearing.plans.expose.seconds import Seconds, Setup
    from backbearing.plans.light.best import LightAnswer
    from backbearing.records import LightWindow

_ON = timedelta(hours=2)  # an exposure begun at a window's end may go on as long


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowSeconds:
    """The exposures of one window at start, best and end under one sky; None: too dark."""

    subject: str
    camera_position: str
    zone: str
    start: datetime
    sky: Literal["clear", "overcast"]
    wanted: bool  # the sky the window is meant for
    at_start: Seconds | None
    at_best: Seconds | None
    at_end: Seconds | None
    may_be_over: bool  # the limit, at the slow end of a range


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedLight:
    """An answer of `light` cut to what can be exposed, and its seconds, two skies a window."""

    answer: LightAnswer
    batch: str
    f_number: float
    lens: str  # whose bellows are in; '' for none
    limit_s: float | None
    too_long: int  # windows left out for it, by the middle of their seconds' range
    faces: tuple[str, ...]  # of subjects without a facing: which way each is taken to look
    not_counted: tuple[str, ...]  # bellows that are not in, and why
    windows: tuple[WindowSeconds, ...]


def with_seconds(
    notebook: Notebook,
    answer: LightAnswer,
    *,
    batch_name: str | None,
    aperture: str | None,
    longest: str | None,
    limit: int,
    lens_name: str | None = None,
) -> TimedLight:
    """How long must be exposed in each window, and which stay under the longest exposure?

    answer: with all its windows. limit: how many to keep. A window stays where its exposures at
    start, best and end do by the middle of their range, under the sky it is meant for; where the
    slow end goes over it says so. The light is that on the subject's facing, else on a face
    towards the window's own camera position; with a lens named, or a single one on record, the
    bellows for the distance from there are in. Raises BadInput and NotFound.
    """
    from backbearing.notebook.kit import find_lens, load_kit

    batch = batch_to_use(notebook, batch_name)
    kit = load_kit(notebook)
    lens = find_lens(notebook, lens_name) if lens_name else None
    if lens is not None:
        number = f_number(aperture or "16", lens, where="--aperture").f_number
    else:
        number = f_number_on_any(aperture or "16", kit.lenses, where="--aperture").f_number
    lens = lens_for_bellows(kit, lens)
    limit_s = read_duration_s(longest, where="--longest") if longest else None
    if limit_s is not None and limit_s <= 0.0:
        raise BadInput(say("the longest exposure must be above 0"), where="--longest")
    kept: list[tuple[LightWindow, tuple[WindowSeconds, ...]]] = []
    different = too_long = cut_alike = 0
    not_counted: dict[str, None] = {}
    scenes: dict[tuple[str, str], Scene] = {}
    for n, window in enumerate(answer.windows):
        if limit_s is None and len(kept) == limit:
            cut_alike += n >= answer.different
            continue
        key = (window.subject, window.camera_position)
        scene = scenes.get(key)
        if scene is None:
            scene = scenes[key] = _scene(notebook, *key)
        way = setup(
            batch,
            number,
            focal_mm=lens.focal_mm if lens else None,
            distance_m=scene.camera.distance_m if scene.camera else None,
        )
        racked = bellows_words(kit, lens, scene.camera.distance_m if scene.camera else None)
        not_counted.setdefault(f"{racked} at {window.subject}" if racked else "")
        skies = _timed(scene, way, window, limit_s)
        mine = (skies[0].at_start, skies[0].at_best, skies[0].at_end)
        if limit_s is not None and any(one is None or one.exact_s > limit_s for one in mine):
            too_long += 1
            continue
        different += n < answer.different and len(kept) < limit
        cut_alike += n >= answer.different and len(kept) >= limit
        kept.append((window, skies))
    shown = kept[:limit]
    windows = tuple(window for window, _ in shown)
    cut = len(answer.windows) - too_long - len(windows)
    return TimedLight(
        answer=replace(
            answer,
            windows=windows,
            # what the first one left is like was left out
            different=min(max(different, 1), len(windows)),
            next_window=min((w for w, _ in kept), key=lambda w: w.start, default=None),
            left_off=answer.left_off + cut,
            left_off_alike=answer.left_off_alike + cut_alike,
        ),
        batch=batch.name,
        f_number=number,
        lens=lens.name if lens else "",
        limit_s=limit_s,
        too_long=too_long,
        faces=tuple(
            dict.fromkeys(
                f"{scenes[w.subject, w.camera_position].face.words} ({w.subject})"
                for w in windows
                if scenes[w.subject, w.camera_position].face.basis != "facing on record"
            )
        ),
        not_counted=tuple(each for each in not_counted if each),
        windows=tuple(one for _, skies in shown for one in skies),
    )


def _scene(notebook: Notebook, name: str, position: str) -> Scene:
    from backbearing.notebook.subjects import find_subject, list_camera_positions

    subject = find_subject(notebook, name)
    cameras = list_camera_positions(notebook, subject.id)
    return scene_of(
        notebook, subject, camera=next((one for one in cameras if one.name == position), None)
    )


def _timed(
    scene: Scene, way: Setup, window: LightWindow, limit_s: float | None
) -> tuple[WindowSeconds, ...]:
    start = np.datetime64(window.start.astimezone(UTC).replace(tzinfo=None), "m")
    minutes = round((window.end + _ON - window.start) / timedelta(minutes=1))
    times = start + np.arange(minutes + 1).astype("timedelta64[m]")
    skies: tuple[Literal["clear", "overcast"], ...] = ("clear", "overcast")
    found = []
    for sky in sorted(skies, key=lambda each: each != window.sky):
        course = course_of(scene, times, sky=sky, ground="grass")
        at_start, at_best, at_end = (
            course.seconds(way, course.at(when))[0]
            for when in (window.start, window.best, window.end)
        )
        found.append(
            WindowSeconds(
                subject=window.subject,
                camera_position=window.camera_position,
                zone=window.zone,
                start=window.start,
                sky=sky,
                wanted=sky == window.sky,
                at_start=at_start,
                at_best=at_best,
                at_end=at_end,
                may_be_over=limit_s is not None
                and any(one and one.most_s > limit_s for one in (at_start, at_best, at_end)),
            )
        )
    return tuple(found)
