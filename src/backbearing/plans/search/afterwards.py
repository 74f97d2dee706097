"""When to stop looking, and where to go then."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.leasttime import least_time
from backbearing.plans.approach.ground import standing_cell, walker_ground
from backbearing.plans.approach.way import Going, slower_cells, snow_limit_deg
from backbearing.plans.light import best_light
from backbearing.plans.outing.day import ASSUMED_EXPOSURE_S, Needs
from backbearing.plans.outing.seconds import Exposures
from backbearing.plans.search.walkanswer import Fallback, GiveUp

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Setup
    from backbearing.plans.pace import Pace
    from backbearing.plans.search.ways import Ways
    from backbearing.records import Floats, Lens, LightWindow, Place, Subject

MARGIN_S = 30.0 * 60.0
_MOST_FALLBACKS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkQuestion:
    """What is asked of a search's next walk, as it was read."""

    start: Place
    start_name: str
    time_s: float
    leave: datetime | None  # None: so that it is over when the light is, or at first light
    day: date
    zone: str
    back_by: datetime | None = None
    needs: Needs = field(default_factory=Needs)
    going: Going = field(default_factory=Going)
    pace: str | None = None
    setup: Setup | None = None
    lens: Lens | None = None  # for the bellows


def give_up_by(
    notebook: Notebook,
    subject: Subject,
    question: WalkQuestion,
    leave: datetime,
    *,
    away_by: datetime | None = None,
) -> GiveUp | None:
    """The latest arrival that still leaves set-up and exposure in the day's best light.

    away_by: by when one must be gone from there, packed, to be back in time; None: any time.
    """
    exposures = Exposures(notebook, question.setup, question.lens)
    for window in _windows(notebook, [subject.name], question, leave):
        exposing_s = _exposing_s(question, exposures, subject, window)
        done = closes(window)
        if away_by is not None:
            done = min(done, away_by - timedelta(seconds=question.needs.pack_s))
        last = done - timedelta(seconds=exposing_s + question.needs.ready_s)
        if last > leave and done - window.start >= timedelta(seconds=exposing_s):
            return GiveUp(
                found_by=to_second(last),
                window=window,
                set_up_s=question.needs.ready_s,
                exposing_s=exposing_s,
            )
    return None


def fallback_from(
    notebook: Notebook,
    subject: Subject,
    question: WalkQuestion,
    ways: Ways,
    pace: Pace,
    visited: Sequence[int],
    leave: datetime,
    home_by: datetime,
    *,
    from_start: bool = True,
) -> Fallback | None:
    """The best subject near to go to when this one is not found, safely back from it included.

    Its way is counted from that stop of the walk from which it is longest, the start counted too
    unless told; best by its light.
    """
    from backbearing.notebook.subjects import list_camera_positions, list_subjects

    by_name = {one.name: one for one in list_subjects(notebook) if one.id != subject.id}
    windows = [each for each in _windows(notebook, [], question, leave) if each.subject in by_name]
    area, exposures = ways.shut.area, Exposures(notebook, question.setup, question.lens)
    ground = walker_ground(
        area,
        slower_cells(area, pace, question.going),
        steepest_deg=question.going.steepest_deg,
        snow_steepest_deg=snow_limit_deg(question.going),
    )
    looked: dict[str, Floats | None] = {}
    nodes = (0, *visited) if from_start else tuple(visited)
    homeward = least_time(ground, ways.shut.cells[0], pace.usual_s_per_m, towards=True)
    for window in windows:
        other = by_name[window.subject]
        if other.name not in looked:
            if len(looked) >= _MOST_FALLBACKS:
                continue
            cameras = list_camera_positions(notebook, other.id)
            named = (each for each in cameras if each.name == window.camera_position)
            camera = next(named, cameras[0] if cameras else None)
            place = other.place if camera is None else camera.place
            cell = standing_cell(area, ground, place)
            if cell is None:
                continue
            to = least_time(ground, cell, pace.usual_s_per_m, towards=True)
            stops = np.array([to.seconds[ways.shut.cells[node]] for node in nodes])
            stops = stops[np.isfinite(stops)]
            home_s = float(homeward.seconds[cell])
            looked[other.name] = (
                np.array([stops.max(), home_s]) * pace.slow
                if len(stops) and np.isfinite(home_s)
                else None
            )
        found = looked[other.name]
        if found is None:
            continue
        walk_s, home_s = (float(each) for each in found)
        exposing_s = _exposing_s(question, exposures, other, window)
        done = min(closes(window), home_by - timedelta(seconds=home_s + question.needs.pack_s))
        leave_by = done - timedelta(seconds=exposing_s + question.needs.ready_s + walk_s)
        if leave_by > leave and done - window.start >= timedelta(seconds=exposing_s):
            return Fallback(
                subject=other.name,
                leave_by=to_second(leave_by),
                walk_s=walk_s,
                window=window,
            )
    return None


def _windows(
    notebook: Notebook, names: Sequence[str], question: WalkQuestion, leave: datetime
) -> list[LightWindow]:
    found = best_light(
        notebook, list(names), start=question.day, end=question.day, earliest_at=leave
    )
    return list(found.windows)


def _exposing_s(
    question: WalkQuestion, exposures: Exposures, subject: Subject, window: LightWindow
) -> float:
    one_s = question.needs.exposure_s
    if one_s is None:
        exposure = exposures.at(subject, window.best, window.sky, window.camera_position)
        one_s = ASSUMED_EXPOSURE_S if exposure is None else exposure.high_s
    return question.needs.exposing_s(one_s)


def closes(window: LightWindow) -> datetime:
    """The end of a window, its error taken off."""
    return window.end - timedelta(minutes=window.plus_minus_min)


def to_second(instant: datetime) -> datetime:
    return datetime.fromtimestamp(round(instant.timestamp()), UTC)
