"""A way over the ground, leg by leg, and what it takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from backbearing.records.passage import PassageKind

Footing = Literal["own track", "path", "trackless"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A stretch of a way with one kind of footing, between two places worth a name."""

    name: str  # "along the track of 14 Mar 2026", "over open ground"
    start_name: str
    end_name: str
    line: tuple[tuple[float, float], ...]  # latitude, longitude, from start to end
    length_m: float
    ascent_m: float | None  # None where no heights are known
    descent_m: float | None
    usual_s: float
    slow_s: float  # 85 times in 100 no longer
    footing: Footing
    steepest_deg: float | None  # of the ground walked on, by its cells
    steepest_at: tuple[float, float] | None  # latitude, longitude
    rough: bool  # trackless, steep, across water or a step: to be left in usable light
    water: tuple[str, ...] = ()  # lines of water it crosses, by name, and fords without one
    passages: tuple[str, ...] = ()  # by which it crosses them
    retraced_s: float | None = None  # usual time for the same ground the other way, of a leg out

    @property
    def trackless(self) -> bool:
        """Whether no track or path on record goes there."""
        return self.footing == "trackless"


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherPassage:
    """Another passage by which a way would lead, not counted on either."""

    name: str
    chance: float
    longer_s: float  # than the way out that was chosen, usual time; negative where it is shorter


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageUse:
    """A passage that the way goes by, and how likely it is open on the day."""

    name: str
    kind: PassageKind
    chance: float  # of being open; common practice, no source
    last_found: str  # "looked blocked, windfall, 14 Mar 2026"
    trusted: bool  # False: the way stands or falls with it, as no surer one is known
    others: tuple[OtherPassage, ...] = ()  # where it is not trusted: what else there is


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageOffer:
    """A passage that is not counted on, and worth going to see: the way would be shorter by it."""

    name: str
    kind: PassageKind
    chance: float
    last_found: str
    check_s: float  # longer to go there, find it shut and walk round: usual time
    saved_s: float  # of the way out where it is open: usual time
    gain_s: float  # saved on average


@dataclass(frozen=True, slots=True, kw_only=True)
class Approach:
    """The ways out and back between two places, with what they rest on."""

    start_name: str
    end_name: str
    out: tuple[Leg, ...]
    back: tuple[Leg, ...]
    length_m: float  # out
    ascent_m: float | None
    usual_s: float  # out
    slow_s: float
    back_usual_s: float
    back_slow_s: float
    walked_share: float  # of the way out: on own tracks and paths
    cell_m: float
    rests_on: tuple[str, ...]
    cautions: tuple[str, ...]
    passages: tuple[PassageUse, ...] = ()  # that the way out or back goes by
    offers: tuple[PassageOffer, ...] = ()  # the most worth first
