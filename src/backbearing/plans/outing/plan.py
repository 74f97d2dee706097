"""An outing from door to door: one light window, the ways there and back, the clock of it all.

The ways and what their legs are like are found once; each candidate window then needs its clock
only.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.places.zones import local
from backbearing.plans.light import best_light
from backbearing.plans.light.best import FIRST_YEAR, LAST_YEAR
from backbearing.plans.outing.answered import COMING_DAYS, answered
from backbearing.plans.outing.clocks import Clocks, Question, camera_of
from backbearing.plans.outing.near import Other, others_near
from backbearing.plans.outing.seconds import Exposures
from backbearing.plans.pace import pace_of
from backbearing.plans.settings import zone_at
from backbearing.saying import say, say_n

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from backbearing.notebook import Notebook
    from backbearing.plans.outing.answer import OutingAnswer
    from backbearing.records import CameraPosition, LightWindow, Subject

SEARCH_DAYS = 60  # for the next day that works


def outing(
    notebook: Notebook,
    name: str,
    question: Question,
    *,
    now: datetime,
    progress: Callable[[str], None] | None = None,
) -> OutingAnswer:
    """When to leave, to be set up, to turn back, for a subject's light, and what else is near?

    now: an aware instant; nobody leaves before it, and of a window that has begun only the rest
    counts. Deadlines hold at the slow pace. Where the day cannot work, `short` says what is
    missing and by how much, and `next_day` names the next that works, within 60 days.

    Raises BadInput where there is no light as wanted, no way, no ground known at an end, or the
    numbers mean nothing, and NotFound for unknown names, NotebookError.
    """
    from backbearing.notebook.subjects import find_subject, list_camera_positions

    tell = progress or (lambda line: None)
    subject = find_subject(notebook, name)
    cameras = list_camera_positions(notebook, subject.id)
    zone = zone_at(notebook, subject.place)
    today = local(now, zone).date()
    if question.day is not None and not FIRST_YEAR <= question.day.year <= LAST_YEAR:
        raise BadInput(
            say(
                "the sun is known for the years {first_year} to {last_year}",
                first_year=FIRST_YEAR,
                last_year=LAST_YEAR,
            ),
            where="--date",
            remedy=say("ask about a day within them"),
        )
    tell(f"light at {subject.name}")
    first, last = question.day or today, question.day or _on(today, COMING_DAYS - 1)
    windows = _windows(notebook, subject, first, last, now, today)
    if not windows:
        raise _no_light(notebook, subject, first, last, now, today)
    if question.number is not None and question.number > len(windows):
        raise BadInput(
            say_n(
                "there is {number} light window at {subject} {coming_days}",
                "there are {number} light windows at {subject} {coming_days}",
                len(windows),
                subject=quoted(subject.name),
                coming_days=say("that day")
                if question.day
                else say("in the coming {coming_days} days", coming_days=COMING_DAYS),
            ),
            where="--window",
            remedy=say("give a number from 1 to {windows}, or leave it out", windows=len(windows)),
        )
    chosen = windows[question.number - 1] if question.number is not None else windows[0]
    pace = pace_of(notebook, question.pace, progress=progress)
    exposures = Exposures(notebook, question.setup, question.lens)
    clocks = Clocks(notebook, subject, cameras, question, pace, exposures, now, progress)
    day = clocks.first_of([chosen] if question.number is not None else windows)
    sought_until, next_day = None, None
    if not day.works:
        tell("the next day that works")
        sought_until = _on(max(day.window.day, today), SEARCH_DAYS)
        later = _windows(
            notebook, subject, max(_on(day.window.day, 1), today), sought_until, now, today
        )
        later.sort(key=lambda each: each.start)
        next_day, unseen = clocks.next_of(later)
        if unseen is not None:  # judged until then, not farther
            sought_until = _on(unseen.day, -1)
    camera, _, _ = clocks.ways[day.window.camera_position]
    here = camera.place if camera is not None else subject.place
    tell("what else is near")
    near = others_near(
        notebook,
        here,
        day,
        _others(notebook, subject, day.window, now, today),
        needs=question.needs,
        pace=pace,
        going=question.going,
        exposures=exposures,
    )
    return answered(
        clocks,
        day,
        zone=zone,
        near=near,
        next_day=next_day,
        sought_until=sought_until,
    )


# ---------------------------------------------------------------- windows and days


def _on(day: date, days: int) -> date:
    """So many days on, as far as the sun is known."""
    return min(day + timedelta(days=days), date(LAST_YEAR, 12, 31))


def _windows(
    notebook: Notebook, subject: Subject, first: date, last: date, now: datetime, today: date
) -> list[LightWindow]:
    """A subject's windows in the order of `light`, those over already left out."""
    found = best_light(
        notebook,
        [subject.name],
        start=first,
        end=last,
        earliest_at=now if first == today else None,
    )
    return list(found.windows)


def _no_light(
    notebook: Notebook, subject: Subject, first: date, last: date, now: datetime, today: date
) -> BadInput:
    """Why there is no light, and when there is."""
    when = (
        say("on {first}", first=first)
        if first == last
        else say("from {first} to {last}", first=first, last=last)
    )
    later = _windows(
        notebook, subject, max(_on(last, 1), today), _on(max(last, today), SEARCH_DAYS), now, today
    )
    coming = min((each.day for each in later), default=None)
    return BadInput(
        say("{subject} has no light as wanted {when}", subject=quoted(subject.name), when=when),
        where="--date",
        remedy=say("the next is on {coming}", coming=coming)
        if coming is not None
        else say(
            "nor in the {search_days} days after; 'backbearing light' with its name says why",
            search_days=SEARCH_DAYS,
        ),
    )


def _others(
    notebook: Notebook, subject: Subject, window: LightWindow, now: datetime, today: date
) -> list[Other]:
    """All other subjects that have light on a window's days, with where one stands for each."""
    from backbearing.notebook.subjects import list_camera_positions, list_subjects

    found = best_light(
        notebook,
        [],
        start=window.day,
        end=max(window.day, local(window.end, window.zone).date()),
        earliest_at=now if window.day == today else None,
    )
    windows: dict[tuple[str, str], list[LightWindow]] = {}
    for each in found.windows:
        windows.setdefault((each.subject, each.camera_position), []).append(each)
    cameras: dict[int | None, list[CameraPosition]] = {}
    for camera in list_camera_positions(notebook):
        cameras.setdefault(camera.subject_id, []).append(camera)
    by_name = {other.name: other for other in list_subjects(notebook) if other.id != subject.id}
    others = []
    for (name, _), its in windows.items():
        if name not in by_name:
            continue
        other = by_name[name]
        stand = camera_of(cameras.get(other.id, []), its[0])
        place = other.place if stand is None else stand.place
        others.append(Other(subject=other, place=place, windows=tuple(its)))
    return others


# ---------------------------------------------------------------- other days


def other_days(
    notebook: Notebook,
    name: str,
    question: Question,
    days: Sequence[date],
    *,
    now: datetime,
    progress: Callable[[str], None] | None = None,
) -> list[OutingAnswer]:
    """The same outing on each of these days of a subject, whether it works or not.

    Each day's is that of `outing`, but that the way to a camera position is found once, on the
    first of these days whose light is seen from there, that what else is near is left out, and
    that no later day is looked for. Days without light as wanted, and those to whose camera
    positions no way is known, are left out. Raises NotFound for an unknown name, NotebookError.
    """
    from backbearing.notebook.subjects import find_subject, list_camera_positions

    subject = find_subject(notebook, name)
    clocks = Clocks(
        notebook,
        subject,
        list_camera_positions(notebook, subject.id),
        question,
        pace_of(notebook, question.pace, progress=progress),
        Exposures(notebook, question.setup, question.lens),
        now,
        progress,
    )
    zone = zone_at(notebook, subject.place)
    today = local(now, zone).date()
    found = []
    for day in days:
        windows = _windows(notebook, subject, day, day, now, today)
        if not windows:
            continue
        try:
            taken = clocks.first_of(windows)
        except BadInput:
            continue
        found.append(answered(clocks, taken, zone=zone, weighed=False))
    return found
