"""Which ground a look of one side counts on: what lies on that side of the line it was told by.

The line and the end it led to are kept with the look. So neither terrain that comes or goes nor
another line that a search is laid along turns left into right.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, NotFound
from backbearing.plans.search.downstream import way_said
from backbearing.plans.search.ground import Plane, along, lines_called, on_plane
from backbearing.records import Place
from backbearing.saying import say

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from backbearing.notebook import Notebook
    from backbearing.plans.search.ground import SearchGround
    from backbearing.records import Floats, GroundLine, Look

SAME_END_M = 100.0  # of a line without a name: an end farther off is another line's


def counted_on(
    notebook: Notebook, ground: SearchGround, look: Look
) -> tuple[NDArray[np.bool_], str]:
    """On which pieces (n,) a look counts by its side, and what is to be said of it; '' nothing."""
    whole = np.ones(ground.x_m.shape, dtype=bool)
    if look.side not in ("left", "right"):
        return whole, ""
    wanted = -1 if look.side == "left" else 1
    if not look.line:
        return _as_before(ground, look, wanted)
    line = _told_by(notebook, ground, look)
    if line is None:
        return ~whole, say(
            "the look of {day} is told by a side of {line}, which is not on record: not counted",
            day=look.on or say("no day"),
            line=look.line,
        )
    turned = _turned(ground.line, line)
    if turned is not None and ground.side is not None:
        if not turned:
            return ground.side == wanted, ""
        sides = (say("right"), say("left"))
        return ground.side == -wanted, say(
            "the look of {day} was told when {line} was followed the other way: its {side} is now "
            "the {other}",
            day=look.on or say("no day"),
            line=look.line,
            side=say(look.side),
            other=sides[wanted > 0],
        )
    return along(on_plane(ground.plane, line), ground.x_m, ground.y_m)[2] == wanted, ""


def _as_before(ground: SearchGround, look: Look, wanted: int) -> tuple[NDArray[np.bool_], str]:
    """One put on record before its line was: by the line the ground is along."""
    day = look.on or say("no day")
    if ground.side is None or ground.line is None:
        return np.ones(ground.x_m.shape, dtype=bool), say(
            "the look of {day} has a side on record and not of which line: both sides are counted",
            day=day,
        )
    words = ground.line.name or ground.line.kind
    return ground.side == wanted, say(
        "the look of {day} has a side on record and not of which line: read as {side} of {line}",
        day=day,
        side=say(look.side),
        line=words if ground.way is None else way_said(ground.line, ground.way),
    )


def _told_by(notebook: Notebook, ground: SearchGround, look: Look) -> GroundLine | None:
    """The line that a look's side is told by, in the order that was meant; None without it.

    The end that was meant holds also where a line of that name was drawn anew.
    """
    found = [
        line for line in (ground.line,) if line is not None and look.line in (line.name, line.kind)
    ]
    plane = ground.plane
    near = Place(
        latitude_deg=plane.latitude_deg,
        longitude_deg=plane.longitude_deg,
        error_m=0.0,
        error_basis="given",
    )
    with suppress(BadInput, NotFound):
        found += lines_called(notebook, look.line, near)[0]
    if not found or look.towards is None:
        return found[0] if found else None
    first, last = _ends_off(plane, found, look.towards)
    best = int(np.argmin(np.minimum(first, last)))
    line = found[best]
    if line.name != look.line and min(first[best], last[best]) > SAME_END_M:
        return None
    return _reversed(line) if first[best] < last[best] else line


def _ends_off(plane: Plane, lines: list[GroundLine], place: Place) -> tuple[Floats, Floats]:
    """How far a place is from the first and from the last point of lines [m]."""
    x, y = plane.at(np.array([place.latitude_deg]), np.array([place.longitude_deg]))
    ends = np.array([on_plane(plane, line)[[0, -1]] for line in lines])
    away = np.hypot(ends[..., 0] - x[0], ends[..., 1] - y[0])
    return away[:, 0], away[:, 1]


def _reversed(line: GroundLine) -> GroundLine:
    return replace(
        line,
        latitude_deg=line.latitude_deg[::-1].copy(),
        longitude_deg=line.longitude_deg[::-1].copy(),
    )


def _turned(line: GroundLine | None, other: GroundLine) -> bool | None:
    """Whether two are one line, drawn the other way; None where they are two."""
    if line is None:
        return None
    for turned, each in ((False, other), (True, _reversed(other))):
        if np.array_equal(line.latitude_deg, each.latitude_deg) and np.array_equal(
            line.longitude_deg, each.longitude_deg
        ):
            return turned
    return None
