"""The ground worth a look next, cut into pieces that hang together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.likelihood import smallest_ground
from backbearing.plans.search.naming import Naming

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from backbearing.models.likelihood import Shares
    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.plans.search.looked import SeenByLooks
    from backbearing.records import Floats, Subject

_BEST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Ground worth a look, in one piece, with its share and what it costs to look it through."""

    words: str
    share: float
    minutes: float  # to sweep it once
    seen_chance: float  # chance I would have seen it, had it been there, so far
    looks: int  # that would have seen it there with a chance worth the name
    latitude_deg: float
    longitude_deg: float
    size_m2: float


def worth_a_look(
    notebook: Notebook,
    subject: Subject,
    ground: SearchGround,
    left: Shares,
    by_looks: SeenByLooks,
    minutes: Floats,
) -> list[Stretch]:
    """The ground worth a look next, cut into pieces that hang together, the densest first."""
    seen = by_looks.chance
    inside = smallest_ground(left, ground.size_m2, 0.5) & (seen < 0.9)
    named = Naming(notebook, subject, ground)
    found = []
    for pieces in _hanging_together(ground, inside):
        share = float(left.pieces[pieces].sum())
        weight = left.pieces[pieces] / max(share, 1e-300)
        latitude, longitude = ground.plane.places(
            np.array((weight * ground.x_m[pieces]).sum()),
            np.array((weight * ground.y_m[pieces]).sum()),
        )
        found.append(
            Stretch(
                words=named.words(pieces),
                share=share,
                minutes=max(1.0, float(minutes[pieces].sum())),
                seen_chance=float((weight * seen[pieces]).sum()),
                looks=by_looks.often(pieces, weight),
                latitude_deg=float(latitude),
                longitude_deg=float(longitude),
                size_m2=float(ground.size_m2[pieces].sum()),
            )
        )
    found.sort(key=lambda each: -each.share)
    return found[:_BEST]


def _hanging_together(
    ground: SearchGround, inside: NDArray[np.bool_]
) -> Iterator[NDArray[np.int64]]:
    if ground.kind == "grid":
        from scipy.ndimage import label

        labels, count = label(inside.reshape(ground.rows, ground.columns), np.ones((3, 3)))
        flat = labels.ravel()
        order = np.argsort(-np.bincount(flat, minlength=count + 1)[1:])[: 4 * _BEST]
        for number in order.tolist():
            yield np.flatnonzero(flat == number + 1)
        return
    assert ground.side is not None  # noqa: S101 - it is along a line
    for sign in (-1, 1):
        at = np.flatnonzero(inside & (ground.side == sign))
        if len(at):
            yield from np.split(at, np.flatnonzero(np.diff(at) > 1) + 1)
