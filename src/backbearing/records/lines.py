"""Lines over the ground that guide or stop a walker: streams, paths, ridges, shores."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from backbearing.records.arrays import Floats
    from backbearing.records.tracks import Fault

LineKind = Literal["stream", "river", "leat", "shore", "path", "ridge", "wall", "other"]
LINE_KINDS: tuple[LineKind, ...] = (
    *("stream", "river", "leat", "shore", "path", "ridge", "wall", "other"),
)
WATER_KINDS: tuple[LineKind, ...] = ("stream", "river", "leat", "shore")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundLine:
    """A line over the ground, in the order it was drawn: a stream's runs as its file has it."""

    name: str = ""
    kind: LineKind
    longitude_deg: Floats
    latitude_deg: Floats
    source: str = ""  # "water.geojson, feature 3"
    id: int | None = None  # its number in the notebook


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LinesFile:
    """What one file of lines holds, with every fault found on the way."""

    lines: tuple[GroundLine, ...]
    faults: tuple[Fault, ...] = ()
    others: int = 0  # features that are no lines: points, or of no geometry
