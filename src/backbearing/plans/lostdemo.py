"""The demo's lost subject: put down from memory, looked for, found behind a hole in a wall.

The walk that finds it is the planned one, written as a receiver would have kept it (`lostwalk`).

It has a notebook of its own, a copy of the island's, so that the story can be told again.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import date
    from pathlib import Path

    from backbearing.notebook import Notebook
    from backbearing.plans.otherdays import OtherDays
    from backbearing.plans.page import ReturnPage
    from backbearing.plans.search.asked import CluesAnswer
    from backbearing.plans.search.lookedfor import LookAnswer
    from backbearing.plans.search.walkanswer import SearchWalkAnswer
    from backbearing.records import LookSide

NOTEBOOK, PAGE, WALKED = "lost.gpkg", "lost.html", "looked.gpx"
SUBJECT = "boundary stone"
REMEMBERED, ERROR_M = "47.0095 N 21.0010 W", 700.0
TRUE_PLACE = "47.0090 N 21.0024 W"  # nobody who searches knows
WANTED = {"sun_altitude_deg": "5-25", "latest": "13:00"}
SEEN_AT = "30m"  # by somebody who looks
CLUES: tuple[tuple[dict[str, str], str], ...] = (
    ({"near": "the leat", "within": "60m"}, "85%"),
    ({"side": "left", "of": "the leat"}, "70%"),
)
LOOKED = 2  # along the lower leat
LOOKED_SIDE: LookSide = "left"
REMEMBERED_LATER: tuple[tuple[dict[str, str], str], ...] = (
    ({"walk": "6min-15min", "start": "wall hole"}, "80%"),
    ({"bearing": "WNW", "start": "wall hole"}, "60%"),
)
WALK_START, WALK_WITHIN, WALK_TIME = "arch", "700m", "1h40"
DOUBTFUL = "wall hole"


def walk_day(start: date) -> date:
    """The day of the next walk, for a demo of this day."""
    return start + timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LostDemo:
    """What each step of the story answered."""

    clues: CluesAnswer
    look: LookAnswer
    walk: SearchWalkAnswer
    page: ReturnPage  # while it is still looked for
    other_days: OtherDays
    track: int  # the walk that found it
    found: LookAnswer


def run_lost(
    folder: Path,
    island: Path,
    *,
    start: date,
    now: datetime,
    progress: Callable[[str], None] | None = None,
) -> LostDemo:
    """Lose a subject, gather clues, look in vain, remember more, and find it on the next walk.

    folder: where the copy of the island's notebook goes. start: the day before the walk, so that
    there is light left for it.
    Raises what the plans raise.
    """
    from backbearing.notebook import open_notebook
    from backbearing.places.coordinates import read_coordinate
    from backbearing.plans.intake import import_files
    from backbearing.plans.lostwalk import walked_gpx
    from backbearing.plans.marking import mark
    from backbearing.plans.otherdays import other_days
    from backbearing.plans.page import gather_page
    from backbearing.plans.search.askedwalk import ask_search
    from backbearing.plans.wishes import store_wish

    day = walk_day(start)
    shutil.copy(island, folder / NOTEBOOK)
    with open_notebook(folder / NOTEBOOK) as notebook:
        mark(notebook, SUBJECT, REMEMBERED, error_m=ERROR_M, now=now)
        store_wish(notebook, SUBJECT, WANTED)
        _told(notebook, CLUES, start)
        look = _looked(notebook, start, track=LOOKED, side=LOOKED_SIDE)
        clues = _told(notebook, REMEMBERED_LATER, start)
        walk, likely = ask_search(
            notebook,
            SUBJECT,
            now=now,
            day=day.isoformat(),
            start=WALK_START,
            within=WALK_WITHIN,
            span=WALK_TIME,
            progress=progress,
        )
        asked = {"start": WALK_START, "plates": 1}
        page = gather_page(
            notebook,
            [SUBJECT],
            start=day,
            now=now,
            asked=asked,
            search_walks=[(walk, likely)],
            progress=progress,
        )
        days = other_days(notebook, page, asked, progress=progress or (lambda line: None))
        (folder / WALKED).write_text(walked_gpx(walk, read_coordinate(TRUE_PLACE)), "utf-8")
        (imported,) = import_files(notebook, [folder / WALKED]).files
        track = imported.tracks[0].id
        assert track is not None  # noqa: S101 - it is no rehearsal
        found = _looked(notebook, day, track=track, found=TRUE_PLACE)
    return LostDemo(
        clues=clues, look=look, walk=walk, page=page, other_days=days, track=track, found=found
    )


def _told(
    notebook: Notebook, clues: Iterable[tuple[dict[str, str], str]], today: date
) -> CluesAnswer:
    from backbearing.plans.search.asked import add_clue
    from backbearing.plans.search.typedclue import TypedClue

    answers = [
        add_clue(
            notebook,
            SUBJECT,
            TypedClue(**typed),  # type: ignore[arg-type]  # one pair of places is not among them
            sure=sure,
            on=today.isoformat(),
            note="",
            now=datetime.combine(today, time(12), UTC),
        )
        for typed, sure in clues
    ]
    return answers[-1]


def _looked(
    notebook: Notebook,
    today: date,
    *,
    track: int | None = None,
    side: LookSide = "",
    found: str | None = None,
) -> LookAnswer:
    from backbearing.plans.search.lookedfor import add_look

    return add_look(
        notebook,
        SUBJECT,
        track=track,
        looking=True,
        side=side,
        range_text=SEEN_AT,
        snow=False,
        law="random",
        found=found,
        note="",
        today=today,
    )
