"""The day a page plans: that of `outing`, for the light the page leads with or the day asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from backbearing.places.words import metres_text
from backbearing.plans.soundness import leading
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import datetime

    from backbearing.errors import BackbearingError
    from backbearing.notebook import Notebook
    from backbearing.plans.page import ReturnPage
    from backbearing.records import LightWindow

KNOWN_WITHIN_M = 100.0  # a subject looked for whose place is known no better is not gone to
_BEFORE = timedelta(days=1)  # a window in the small hours is set out for the evening before


def with_outing(
    notebook: Notebook,
    page: ReturnPage,
    asked: Mapping[str, Any],
    *,
    now: datetime | None,
    tell: Callable[[str], None],
) -> ReturnPage:
    """The page with the day that `outing` plans for its leading clear window, or on the day asked.

    asked: as `ask_outing` takes it; where nothing is and no start is set, no day is planned. What
    keeps a day from being planned stands on the page. Raises BadInput and NotFound for what was
    typed amiss.
    """
    from backbearing.errors import BackbearingError
    from backbearing.places.zones import day_bounds, local
    from backbearing.plans.outing import ask_outing
    from backbearing.plans.settings import start_setting

    typed = {key: each for key, each in asked.items() if each is not None}
    lead = _lead(page)
    if lead is None or (typed.get("start") is None and start_setting(notebook) is None):
        return page
    why = _still_looked_for(page, lead)
    if why:
        return replace(page, why_no_outing=why)
    tell("the day out and back")
    if typed.get("day") is None:
        typed["day"] = local(lead.start, lead.zone).date().isoformat()
    if page.tripod and page.tripod.batch:
        typed.setdefault("batch", page.tripod.batch.name)
    begin = now or page.earliest_at or day_bounds(page.start - _BEFORE, lead.zone)[0]
    try:
        return replace(page, outing=ask_outing(notebook, lead.subject, now=begin, **typed))
    except BackbearingError as error:
        if _amiss(error, asked):
            raise
        return replace(page, why_no_outing=error.what)


def _still_looked_for(page: ReturnPage, lead: LightWindow) -> str:
    """Why no day leads to a subject whose place is only guessed; '' where one may."""
    each = next((one for one in page.searches if one.subject.name == lead.subject), None)
    if each is None or each.subject.place.error_m <= KNOWN_WITHIN_M:
        return ""
    return say(
        "{subject} is still looked for, and its place on record is known to ± {error} only; a walk "
        "that looks for it is laid by search",
        subject=lead.subject,
        error=metres_text(each.subject.place.error_m),
    )


def _lead(page: ReturnPage) -> LightWindow | None:
    return leading(w for each in page.subjects for w in each.windows if w.sky == "clear")


def _amiss(error: BackbearingError, asked: Mapping[str, Any]) -> bool:
    """Whether it was typed amiss: a day without light or a way is no fault of who asks."""
    where = error.where
    if where.startswith("place"):
        return asked.get("start") is not None
    if where == "pace":
        return asked.get("pace") is not None
    return where.startswith("--") and where != "--date"
