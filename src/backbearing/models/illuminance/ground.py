"""How much of the light that falls on ground it throws back."""

from __future__ import annotations

from dataclasses import dataclass

from backbearing.errors import BadInput, quoted
from backbearing.saying import phrase


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Ground before a subject. albedo: the share of visible light it scatters, for level ground."""

    name: str
    words: str
    albedo: float
    spread: float  # either way: from one meadow to another


# Common practice, no source: the usual round figures, from memory.
GROUNDS: dict[str, Ground] = {
    each.name: each
    for each in (
        Ground(name="grass", words=phrase("grass, heath, bare soil"), albedo=0.2, spread=0.05),
        Ground(name="rock", words=phrase("grey rock, scree"), albedo=0.25, spread=0.1),
        Ground(name="fresh snow", words=phrase("fresh snow"), albedo=0.8, spread=0.1),
        Ground(name="old snow", words=phrase("old or shaded snow"), albedo=0.5, spread=0.1),
        Ground(name="forest floor", words=phrase("needles, leaves, moss"), albedo=0.1, spread=0.05),
        # scattered light only: a low sun's image in still water is no part of it
        Ground(name="water", words=phrase("open water"), albedo=0.07, spread=0.03),
    )
}


def albedo(ground: str) -> float:
    """The share of light a kind of ground throws back. Raises BadInput for a name that is none."""
    if ground not in GROUNDS:
        raise BadInput(
            f"{quoted(ground)} is no kind of ground", where="ground", remedy=", ".join(GROUNDS)
        )
    return GROUNDS[ground].albedo
