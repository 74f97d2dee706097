"""The searches a page shows: of subjects known from memory alone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from backbearing.errors import BackbearingError
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.search import Likely
    from backbearing.plans.search.walkanswer import SearchWalkAnswer
    from backbearing.records import Subject

MOST_SEARCHES = 3  # drawn on a page


def searches_of(
    notebook: Notebook,
    subjects: Sequence[Subject],
    walks: Sequence[tuple[SearchWalkAnswer, Likely]],
    start: date,
    asked: Mapping[str, Any],
    *,
    now: datetime | None,
) -> tuple[tuple[Likely, ...], tuple[str, ...]]:
    """Where those subjects likely are that have clues and were not found yet, and why some are not
    told.

    walks: those with a next walk, which come first. start, asked: the page's first day, and what
    `ask_outing` is asked of it; with now, until when to look on that day is told as `likely` does.
    """
    from backbearing.notebook.search import list_clues, list_looks

    found, without = [likely for _, likely in walks], []  # on the ground that the walk goes by
    known = {likely.subject.id for likely in found}
    for subject in subjects:
        if len(found) >= MOST_SEARCHES:
            break
        if subject.id in known or not list_clues(notebook, subject.id):
            continue
        if any(look.found for look in list_looks(notebook, subject.id)):
            continue
        from backbearing.plans.search import where_likely

        try:
            likely = where_likely(notebook, subject.name)
        except BackbearingError as error:
            without.append(
                say(
                    "where {subject} may be is not told: {what}",
                    subject=subject.name,
                    what=error.what,
                )
            )
            continue
        found.append(likely if now is None else _until(notebook, likely, start, asked, now))
    return tuple(found), tuple(without)


def _until(
    notebook: Notebook, likely: Likely, start: date, asked: Mapping[str, Any], now: datetime
) -> Likely:
    from backbearing.plans.search.lookuntil import unsaid, with_until

    day = asked.get("day") or start.isoformat()
    begin, limit = asked.get("start"), asked.get("back_by")
    try:
        return with_until(notebook, likely, now=now, start=begin, day=day, back_by=limit)
    except BackbearingError as error:  # the day out says what was typed amiss, where it is planned
        return replace(likely, until_why=unsaid(error.what))
