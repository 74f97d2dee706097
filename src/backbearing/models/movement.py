"""What moves in a picture, and how long it may be exposed. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mover:
    """A thing in the picture, and the longest exposure in which it stays sharp."""

    name: str
    longest_s: float | None  # None: as long as it takes
    words: str


MOVERS: tuple[Mover, ...] = (
    Mover("rock and walls", None, "any"),
    Mover("bare branches", 4.0, "4 s in still air, 1/2 s in wind"),
    Mover("leaves and grass", 0.5, "1/2 s in still air, 1/30 s in wind"),
    Mover("running water", 1.0 / 60.0, "1/60 s for drops; a veil from 1/2 s on"),
)


def blurred(exposure_s: float) -> tuple[str, ...]:
    """What will not be sharp in an exposure, in still air."""
    return tuple(m.name for m in MOVERS if m.longest_s is not None and exposure_s > m.longest_s)
