"""Where a way goes or does not go: bridges, fords, gaps and steps, and what was found there."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from backbearing.records.places import Place

PassageKind = Literal["bridge", "ford", "gap", "step"]
PASSAGE_KINDS: tuple[PassageKind, ...] = ("bridge", "ford", "gap", "step")
PassageState = Literal["open", "blocked", "unknown", "looked blocked"]
PASSAGE_STATES: tuple[PassageState, ...] = ("open", "blocked", "unknown", "looked blocked")
PassageCause = Literal["wall", "water", "snow", "windfall", "ran out of time", ""]
PASSAGE_CAUSES: tuple[PassageCause, ...] = (
    *("wall", "water", "snow", "windfall", "ran out of time", ""),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageReport:
    """What was found at a passage on one day; the reports are its history, none is changed."""

    state: PassageState
    cause: PassageCause = ""
    on: date | None = None
    side: str = ""  # from which it was looked at, in the user's words
    note: str = ""
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A bridge, ford, gap or step, with all that was found there, the latest last."""

    name: str
    kind: PassageKind
    place: Place
    reports: tuple[PassageReport, ...] = ()
    uid: str = ""
    id: int | None = None

    @property
    def latest(self) -> PassageReport:
        """The last report; one that says 'unknown' where there is none."""
        return self.reports[-1] if self.reports else PassageReport(state="unknown")
