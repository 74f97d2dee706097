"""What a panel says that has nothing to show: why in one sentence, and what would give it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.plans.page import ReturnPage


@dataclass(frozen=True, slots=True, kw_only=True)
class MissingWords:
    """For each panel that always stands why it is bare; '' where it is not."""

    day: str
    year: str
    exposure: str
    frame: str


def missing_words(page: ReturnPage) -> MissingWords:
    """Why which panels of a page with subjects are bare."""
    held = page.tripod
    return MissingWords(
        day=_no_day(page),
        year="" if page.chosen else _no_year(),
        exposure="" if held is not None and held.batch is not None else _no_exposure(),
        frame="" if held is not None and held.pictures else _no_frame(),
    )


def _no_day(page: ReturnPage) -> str:
    if page.outing is not None:
        return ""
    if page.why_no_outing:
        return say("No day planned here: {why_no_outing}.", why_no_outing=page.why_no_outing)
    if not any(w.sky == "clear" for each in page.subjects for w in each.windows):
        return say("No walk is planned: there is no good light under a clear sky to walk to.")
    return say(
        "No walk is planned: say where walks begin with 'backbearing setting start PLACE', "
        "then make this page again."
    )


def _no_year() -> str:
    return say(
        "None drawn: all on this page is made or gone, so no light was looked for; "
        "'backbearing map NAME' looks for that of one all the same."
    )


def _no_exposure() -> str:
    return say(
        "No seconds: no emulsion batch is on record; 'backbearing kit blank' prints a file "
        "to start from, 'backbearing kit take FILE' reads it."
    )


def _no_frame() -> str:
    return say(
        "No plate drawn: no camera with a lens is on record; 'backbearing kit blank' prints a "
        "file to start from, 'backbearing kit take FILE' reads it."
    )
