"""When to stop looking, and where to go then."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
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

    from backbearing.models.leasttime import Ground, LeastTime
    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Setup
    from backbearing.plans.pace import Pace
    from backbearing.plans.search.ways import Fields, Ways
    from backbearing.records import Lens, LightWindow, Place, Subject

MARGIN_S = 30.0 * 60.0
_MOST_FALLBACKS = 3
_WALKED_UP_TO_M = (
    100.0  # one goes to no place whose error is more: it would have to be searched for
)


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
    beyond: tuple[Fields, Sequence[int]] | None = None,
) -> Fallback | None:
    """The best subject near to go to when this one is not found, safely back from it included.

    Its way is counted from that stop of the walk from which it is longest, the start counted too
    unless told; best by its light. beyond: the stops that are looked at only where a passage
    turned out open, and the ground so: from these the ways lead over it. One that no way is known
    to from each stop, that is itself looked for, or that stands nowhere near its place on record
    is no fallback.
    """
    from backbearing.notebook.subjects import list_camera_positions, list_subjects

    by_name = {
        one.name: one
        for one in list_subjects(notebook)
        if one.id != subject.id and not _looked_for(notebook, one)
    }
    windows = [each for each in _windows(notebook, [], question, leave) if each.subject in by_name]
    exposures = Exposures(notebook, question.setup, question.lens)
    groups = [(ways.shut, (0, *visited) if from_start else tuple(visited))]
    if beyond is not None and len(beyond[1]):
        groups.append((beyond[0], tuple(beyond[1])))
    grounds = [_Onward.over(each, nodes, question, pace) for each, nodes in groups]
    looked: dict[str, tuple[float, float]] = {}
    for window in windows:
        other = by_name[window.subject]
        if other.name not in looked:
            if len(looked) >= _MOST_FALLBACKS:
                continue
            cameras = list_camera_positions(notebook, other.id)
            named = (each for each in cameras if each.name == window.camera_position)
            camera = next(named, cameras[0] if cameras else None)
            place = other.place if camera is None else camera.place
            if place.error_m > _WALKED_UP_TO_M:
                continue
            ways_s = [each.walk_and_home_s(place, pace) for each in grounds]
            looked[other.name] = (
                max(each[0] for each in ways_s),
                max(each[1] for each in ways_s),
            )
        walk_s, home_s = looked[other.name]
        if not np.isfinite(walk_s + home_s):
            continue
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


def _looked_for(notebook: Notebook, subject: Subject) -> bool:
    """Whether nobody knows where it stands: clues or looks are on record, none that found it."""
    from backbearing.notebook.search import list_clues, list_looks

    looks = list_looks(notebook, subject.id)
    if any(look.found for look in looks):
        return False
    return bool(looks) or bool(list_clues(notebook, subject.id))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Onward:
    """The ground over which one goes on from some stops of a walk, and home."""

    fields: Fields
    nodes: tuple[int, ...]
    ground: Ground
    homeward: LeastTime

    @classmethod
    def over(
        cls, fields: Fields, nodes: tuple[int, ...], question: WalkQuestion, pace: Pace
    ) -> _Onward:
        ground = walker_ground(
            fields.area,
            slower_cells(fields.area, pace, question.going),
            steepest_deg=question.going.steepest_deg,
            snow_steepest_deg=snow_limit_deg(question.going),
        )
        homeward = least_time(ground, fields.cells[0], pace.usual_s_per_m, towards=True)
        return cls(fields=fields, nodes=nodes, ground=ground, homeward=homeward)

    def walk_and_home_s(self, place: Place, pace: Pace) -> tuple[float, float]:
        """The slow way to a place from that stop from which it is longest, and home from it; inf
        where none is known."""
        cell = standing_cell(self.fields.area, self.ground, place)
        if cell is None:
            return np.inf, np.inf
        to = least_time(self.ground, cell, pace.usual_s_per_m, towards=True)
        walk_s = max(float(to.seconds[self.fields.cells[node]]) for node in self.nodes)
        return walk_s * pace.slow, float(self.homeward.seconds[cell]) * pace.slow


def _windows(
    notebook: Notebook, names: Sequence[str], question: WalkQuestion, leave: datetime
) -> list[LightWindow]:
    """The day's windows, best first, as far as they lie after leaving.

    Cut only afterwards: their error is then the same whenever one leaves.
    """
    found = best_light(notebook, list(names), start=question.day, end=question.day)
    return [
        replace(each, start=max(each.start, leave), best=max(each.best, leave))
        for each in found.windows
        if each.end > leave
    ]


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
