"""A question about light as it was typed, made into one `best_light` can answer."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.places.clocks import read_clock
from backbearing.plans.light.best import LightAnswer, best_light
from backbearing.plans.periods import read_period, today_there
from backbearing.plans.wanted import read_wanted

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import datetime

    from backbearing.notebook import Notebook


def ask_light(
    notebook: Notebook,
    names: Sequence[str],
    *,
    first: str | None,
    last: str | None,
    on: str | None,
    after: str | None,
    wish: Mapping[str, Any],
    limit: int | None,
    now: datetime,
    processes: int | None = None,
    progress: Callable[[str], None] | None = None,
) -> LightAnswer:
    """Read the days, the clock and the wish, then ask for the best light.

    first, last, on, after: as typed, None where not given. wish: options of a wish to try
    (see `plans.wanted.read_wanted`). now: today's light that is over already is not offered.
    processes: how many share the work, None for as many as pay.
    Raises BadInput and NotFound as the readers and `best_light` do.
    """
    from backbearing.notebook.subjects import find_subject

    today = today_there(notebook, now)
    start, end = read_period(first, last, on, today=today, many=len(names) != 1)
    base = find_subject(notebook, names[0]).wanted if len(names) == 1 else None
    return best_light(
        notebook,
        names,
        start=start,
        end=end,
        wanted=read_wanted(wish, base),
        after=None if after is None else read_clock(after, where="--after"),
        earliest_at=now if start == today else None,
        limit=limit,
        with_day_ends=True,
        processes=processes,
        progress=progress,
    )
