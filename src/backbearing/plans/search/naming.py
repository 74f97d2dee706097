"""What a piece of ground is called: by chainage beside a line, else by bearing and distance."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.places.words import metres_text
from backbearing.plans.search.downstream import named_places
from backbearing.plans.search.ground import along
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import Subject

RECORD = phrase("the place on record")
_REFERENCE_M = 80.0  # a named place so near the line names a stretch of it


class Naming:
    """Pieces that hang together in words: by how far they lie above or below a named place near the
    line, else round the place on record. One ground has one name wherever it is told."""

    def __init__(self, notebook: Notebook, subject: Subject, ground: SearchGround) -> None:
        self.ground = ground
        self.names, latitude, longitude = named_places(notebook, subject.id)
        self.x, self.y = ground.plane.at(latitude, longitude)
        self.chainage = np.array([])
        if ground.line_m is not None and self.names:
            chainage, away, _side = along(ground.line_m, self.x, self.y)
            self.chainage = np.where(away <= _REFERENCE_M, chainage, np.nan)

    def words(self, pieces: NDArray[np.int64]) -> str:
        if self.ground.kind == "line":
            return self._along(pieces)
        ground = self.ground
        x, y = float(ground.x_m[pieces].mean()), float(ground.y_m[pieces].mean())
        reach = float(np.hypot(ground.x_m[pieces] - x, ground.y_m[pieces] - y).max())
        origin, away_x, away_y = say(RECORD), x, y
        if len(self.names):
            off = np.hypot(self.x - x, self.y - y)
            nearest = int(np.argmin(off))
            if off[nearest] < np.hypot(x, y):
                origin = self.names[nearest]
                away_x, away_y = x - float(self.x[nearest]), y - float(self.y[nearest])
        bearing = float(np.degrees(np.arctan2(away_x, away_y)) % 360.0)
        away = float(np.hypot(away_x, away_y))
        across = metres_text(max(2 * reach, ground.cell_m))
        if away <= max(reach, ground.cell_m):
            return say("{across} of ground round {origin}", across=across, origin=origin)
        return say(
            "{across} of ground, {away} at {bearing:03.0f}° true from {origin}",
            across=across,
            away=metres_text(away),
            bearing=bearing,
            origin=origin,
        )

    def _along(self, pieces: NDArray[np.int64]) -> str:
        ground = self.ground
        assert ground.from_m is not None  # noqa: S101
        assert ground.to_m is not None  # noqa: S101
        assert ground.side is not None  # noqa: S101
        assert ground.line is not None  # noqa: S101
        side = "left" if ground.side[pieces[0]] < 0 else "right"
        first, last = float(ground.from_m[pieces[0]]), float(ground.to_m[pieces[-1]])
        known = np.flatnonzero(np.isfinite(self.chainage)) if len(self.chainage) else np.array([])
        flows = ground.way is not None and ground.way.runs == "downstream"
        origin, begin = (
            say("the beginning of {line}", line=ground.line.name or ground.line.kind),
            0.0,
        )
        past = say("below") if flows else say("beyond")
        if len(known):
            before = known[self.chainage[known] <= first + 1.0]
            after = known[self.chainage[known] >= last - 1.0]
            if len(before):
                nearest = before[np.argmax(self.chainage[before])]
                origin, begin = self.names[nearest], float(self.chainage[nearest])
            elif len(after):
                nearest = after[np.argmin(self.chainage[after])]
                end = float(self.chainage[nearest])
                low, high = end - last, end - first
                how = say("above") if flows else say("before")
                return say(
                    "{side} side {span} {how} {names}",
                    side=say(side),
                    span=_span(low, high),
                    how=how,
                    names=self.names[nearest],
                )
        return say(
            "{side} side {span} {past} {origin}",
            side=say(side),
            span=_span(first - begin, last - begin),
            past=past,
            origin=origin,
        )


def _span(low: float, high: float) -> str:
    low, high = max(low, 0.0), max(high, 0.0)
    in_km = f"{low / 1000:.1f}", f"{high / 1000:.1f}"
    if high < 950.0 or in_km[0] == in_km[1]:
        return f"{round(low / 10) * 10:.0f}–{round(high / 10) * 10:.0f} m"
    return f"{in_km[0]}–{in_km[1]} km"
