"""All that stands on the printed sheet of an outing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BackbearingError
from backbearing.places.zones import clock_text
from backbearing.plans.expose import tripod_tables
from backbearing.plans.focus import focus_table
from backbearing.plans.framing import frame
from backbearing.plans.horizon import ask_skyline
from backbearing.plans.outing.seconds import Exposures
from backbearing.plans.page import gather_page
from backbearing.plans.taking.route import RouteRow, route_card
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.expose import TripodTables
    from backbearing.plans.expose.tablelight import TableLight
    from backbearing.plans.focus import FocusTable
    from backbearing.plans.framing import FrameAnswer
    from backbearing.plans.horizon import SkylineAnswer
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.page import ReturnPage
    from backbearing.records import Passage


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetAnswer:
    """An outing with what is taken along on paper; None where the kit or measures are missing."""

    outing: OutingAnswer
    route: tuple[RouteRow, ...]
    page: ReturnPage
    skyline: SkylineAnswer
    frame: FrameAnswer | None
    why_no_frame: str
    tables: TripodTables | None
    why_no_tables: str
    focus: FocusTable | None
    passages: tuple[tuple[Passage, str], ...]  # all on record, and how each was found last
    made_at: datetime


def gather_sheet(
    notebook: Notebook,
    outing: OutingAnswer,
    *,
    now: datetime,
    progress: Callable[[str], None] | None = None,
) -> SheetAnswer:
    """Gather what the printed sheet of an outing holds. Raises NotebookError, NotFound."""
    from backbearing.notebook.kit import load_kit
    from backbearing.notebook.lines import list_passages

    tell = progress or (lambda line: None)
    tell("the sheet's map")
    page = gather_page(
        notebook,
        [outing.subject],
        start=outing.day,
        asked=_kit_of(outing),
        outing=outing,
        progress=progress,
    )
    tell("the sheet's skyline")
    skyline = ask_skyline(notebook, outing.subject, days=[outing.day.isoformat()], now=now)
    fits, why_no_frame = None, ""
    try:
        fits = frame(notebook, outing.subject, position_name=outing.camera_position or None)
    except BackbearingError as error:
        why_no_frame = error.what
    tables, why_no_tables = None, ""
    try:
        tables = tripod_tables(
            notebook, batch_name=outing.batch or None, light=_light(notebook, outing)
        )
    except BackbearingError as error:
        why_no_tables = error.what
    kit = load_kit(notebook)
    marked = next((lens for lens in kit.lenses if lens.focus_marks), None)
    focus = None
    if marked is not None and kit.cameras:
        try:
            focus = focus_table(kit.cameras[0], marked)
        except BackbearingError:
            focus = None
    return SheetAnswer(
        outing=outing,
        route=route_card(notebook, outing),
        page=page,
        skyline=skyline,
        frame=fits,
        why_no_frame=why_no_frame,
        tables=tables,
        why_no_tables=why_no_tables,
        focus=focus,
        passages=tuple((one, _state(one)) for one in list_passages(notebook)),
        made_at=now,
    )


def _kit_of(outing: OutingAnswer) -> dict[str, str]:
    """The outing's batch and aperture, for the page's seconds to be its own."""
    if not outing.batch or outing.f_number is None:
        return {}
    return {"batch": outing.batch, "aperture": f"f/{outing.f_number:g}"}


def _state(passage: Passage) -> str:
    """How a passage was found last, as short as a map needs: 'looked blocked'."""
    state = passage.latest.state
    return say("never tried") if state == "unknown" else state


def _light(notebook: Notebook, outing: OutingAnswer) -> TableLight:
    """The light of the planned minute, as the outing's own seconds have it."""
    from backbearing.notebook.subjects import find_subject

    window, when = outing.window, outing.times.expose
    words = say(
        "the light at {subject} at {when}, ",
        subject=outing.subject,
        when=clock_text(when, outing.zone),
    )
    words += say("{sky} sky", sky=say(window.sky))
    subject = find_subject(notebook, outing.subject)
    return Exposures(notebook, None).light(subject, when, window.sky, words, window.camera_position)
