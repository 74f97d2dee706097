"""A lost subject: what is remembered of where it is, and where it was looked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from datetime import date, datetime

    from backbearing.records.places import Place

ClueKind = Literal[
    "near a line",
    "side of a line",
    "along a line",
    "near a place",
    "walk from a place",
    "between places",
    "inside an area",
    "on a bearing",
    "seen from a place",
    "hidden from a line",
    "slope",
    "facing",
    "height",
    "lit",
    "in shade",
]
CLUE_KINDS: tuple[ClueKind, ...] = (
    *("near a line", "side of a line", "along a line", "near a place", "walk from a place"),
    *(
        "between places",
        "inside an area",
        "on a bearing",
        "seen from a place",
        "hidden from a line",
    ),
    *("slope", "facing", "height", "lit", "in shade"),
)
TERRAIN_CLUES: tuple[ClueKind, ...] = (
    *("seen from a place", "hidden from a line", "slope", "facing", "height", "lit", "in shade"),
)
GroundClass = Literal["open", "trees", "water", "rough"]
FARTHEST_LOOK_M = 500.0  # that a look reaches; farther off one looks with a glass, from one place
GROUND_CLASSES: tuple[GroundClass, ...] = ("open", "trees", "water", "rough")
LookLaw = Literal["random", "inverse cube"]
LookSide = Literal["left", "right", "both", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class MemoryClue:
    """One remembered fact of where a subject is, and how sure it is; which fields count goes by
    its kind, those of others are empty."""

    subject_id: int | None = None
    kind: ClueKind
    words: str  # as it is said back
    sure: float  # chance that the memory is right, 0 … 1
    line: str = ""  # name of a line on record, or a kind of lines
    side: str = ""  # left, right; up, down
    place: Place | None = None
    other: Place | None = None
    corners: tuple[Place, ...] = ()  # of an area, in order
    low: float | None = None  # metres, degrees or minutes, as the kind has it
    high: float | None = None
    error: float | None = None  # 95 %, in the same unit
    at: datetime | None = None
    on: date | None = None  # when it was told
    note: str = ""
    id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SightRange:
    """From how far a thing is just seen [m], by the class of ground; None: as on open ground."""

    open_m: float = 15.0
    trees_m: float | None = None
    water_m: float | None = None
    rough_m: float | None = None

    def of(self, kind: GroundClass) -> float:
        """The range on one class of ground."""
        found = {"trees": self.trees_m, "water": self.water_m, "rough": self.rough_m}.get(kind)
        return self.open_m if found is None else found

    def with_class(self, kind: GroundClass, range_m: float) -> SightRange:
        """The same with another range on one class of ground."""
        return replace(self, **{f"{kind}_m": range_m})

    @property
    def farthest_m(self) -> float:
        """The longest of them."""
        return max(self.of(kind) for kind in GROUND_CLASSES)

    @property
    def same_everywhere(self) -> bool:
        """Whether no class has a range of its own."""
        return all(self.of(kind) == self.open_m for kind in GROUND_CLASSES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """A walk on which a subject was looked for, or would have been noticed."""

    subject_id: int | None = None
    track_id: int | None = None
    on: date | None = None
    looking: bool = True  # False: only walking through
    side: LookSide = ""  # of the line, looking along it; '' where the track tells
    line: str = ""  # by which left and right were told; '' before that was kept
    towards: Place | None = None  # the end it leads to, looking so; None for a ring
    sight: SightRange = SightRange()
    ahead: bool = False  # looked only the way one went, and never turned round
    snow: bool = False  # over low things
    law: LookLaw = "random"
    found: bool = False
    found_at: Place | None = None
    before: Place | None = None  # its place on record until then
    note: str = ""
    id: int | None = None
