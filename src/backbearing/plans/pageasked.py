"""A return page as it is asked for in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.plans.page import gather_page

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.page import ReturnPage
    from backbearing.plans.search import Likely
    from backbearing.plans.search.walkanswer import SearchWalkAnswer

OF_A_SEARCH = ("search_time", "search_within", "range_text")  # asked of its walk, of no day
_NOT_OF_A_WALK = ("number", "drive", "park")


def ask_page(
    notebook: Notebook,
    names: Sequence[str],
    *,
    first: str | None,
    now: datetime,
    search_time: str | None = None,
    search_within: str | None = None,
    range_text: str | None = None,
    before_day: Callable[[], None] | None = None,
    progress: Callable[[str], None] | None = None,
    **asked: Any,
) -> ReturnPage:
    """`gather_page` as it was typed: from the first day, else the outing's, else from now on.

    now: says which day today is, on the notebook's clock where it has one; of today's light what
    is over is left out. search_time: how long the next walk of a search may take, on the page's
    first day; None plans none. before_day: called when all but the day is gathered.
    asked: as `ask_outing` takes it.
    Raises BadInput for what is no day, and NotFound as `gather_page` does and where nothing at
    all is on record.
    """
    from backbearing.errors import NotFound

    start, earliest_at = _begin(notebook, first, now, asked)
    walks: tuple[tuple[SearchWalkAnswer, Likely], ...] = ()
    if search_time is not None:
        of_a_walk = {key: each for key, each in asked.items() if key not in _NOT_OF_A_WALK}
        of_a_walk |= {"day": start.isoformat(), "within": search_within, "range_text": range_text}
        walks = (_search_walk(notebook, names, search_time, of_a_walk, now, progress),)
    page = gather_page(
        notebook,
        names,
        start=start,
        earliest_at=earliest_at,
        now=now,
        asked=asked,
        search_walks=walks,
        before_day=before_day,
        progress=progress,
    )
    if not (page.subjects or page.tracks or page.waypoints or page.routes or page.loose_notes):
        raise NotFound(
            "nothing is on record to make a page of",
            remedy="put a subject on record with 'backbearing mark', or walks with 'import'",
        )
    return page


def keep_day(
    notebook: Notebook, names: Sequence[str], *, first: str | None, now: datetime, **asked: Any
) -> None:
    """Work out the day of such a page alone, so that what is dear in it is kept for `ask_page`.

    Takes and raises as that does, without the walk of a search.
    """
    start, earliest_at = _begin(notebook, first, now, asked)
    gather_page(
        notebook,
        names,
        start=start,
        earliest_at=earliest_at,
        now=now,
        asked=asked,
        day_alone=True,
    )


def _begin(
    notebook: Notebook, first: str | None, now: datetime, asked: dict[str, Any]
) -> tuple[date, datetime | None]:
    """The page's first day and from when light counts on it; the asked day is put plainly."""
    from backbearing.plans.periods import read_coming_day, today_there

    today = today_there(notebook, now)
    day = asked.get("day")
    day = None if day is None else read_coming_day(day, today=today, where="--date")
    start = day or today
    if first is not None:
        start = read_coming_day(first, today=today, where="--from")
    asked["day"] = None if day is None else day.isoformat()
    return start, now.replace(second=0, microsecond=0) if start == today else None


def _search_walk(
    notebook: Notebook,
    names: Sequence[str],
    span: str,
    asked: Mapping[str, Any],
    now: datetime,
    progress: Callable[[str], None] | None,
) -> tuple[SearchWalkAnswer, Likely]:
    """The next walk that looks for the page's one subject, with what is asked of its outing, and
    where it most likely is."""
    from backbearing.errors import BadInput
    from backbearing.plans.search.askedwalk import ask_search

    if len(names) != 1:
        raise BadInput(
            "one walk looks for one subject", where="--search-time", remedy="name just that one"
        )
    return ask_search(notebook, names[0], now=now, span=span, progress=progress, **asked)
