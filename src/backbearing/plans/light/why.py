"""What opens and closes a window, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.wanted import GRAZING_DEG
from backbearing.models.windows import made_by_face

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.models.wanted import Condition


_BY_NAME = {"clock": "by the clock", "months": "with the month", "weekdays": "with the day"}


def edge_words(made_by: Sequence[Condition], outside: int, *, opening: bool) -> str:
    """How a window opens or closes, as a phrase after that verb: 'as the sun climbs past 5°'.

    made_by: the conditions that fail at index `outside`, just beyond the edge; the first of
    several speaks for all. Empty where the period cuts the window.
    """
    if not made_by:
        return "with the time asked for"
    condition = made_by[0]
    name = condition.name
    if name in _BY_NAME:
        return _BY_NAME[name]
    if name in ("direct sun", "shade"):
        edge = outside + 1 if opening else outside - 1
        if made_by_face(condition, np.asarray(edge), np.asarray(outside)):
            comes = opening is (name == "direct sun")
            return "as the sun comes on to its face" if comes else "as the sun leaves its face"
        return "at first sun" if opening is (name == "direct sun") else "at last sun"
    if name == "daylight":
        return "at daybreak" if opening else "at nightfall"
    if condition.value is None:
        return "as the sun crosses the camera's line"
    beyond = float(condition.value[outside])
    if name == "sun azimuth":
        return "as the sun comes into its azimuths" if opening else "as the sun leaves its azimuths"
    if condition.low <= beyond <= condition.high:
        return "as the sun crosses the camera's line"  # to the other side of the frame
    at_low = not beyond > condition.high  # nan, before any first sun, counts as below
    limit = condition.low if at_low else condition.high
    shown = f"{limit:g}".replace("-", "−")
    if name == "lit from":
        return f"as the sun stands {shown}° off the camera's line"
    if name == "sun height":
        return f"as the sun {'climbs' if opening is at_low else 'sinks'} past {shown}°"
    event = name.removeprefix("after ").removeprefix("before ")
    return f"{shown} min {name}" if limit else f"at {event}"


def on_face_words(incidence_deg: float, *, sunlit: bool) -> str:
    """How the sun meets the subject's face: '24° off square to its face', '' without sun.

    incidence_deg: how far the sun stands off square to it.
    """
    if not sunlit:
        return ""
    if incidence_deg >= 90.0:
        return "its face in its own shade"
    grazing = ", grazing" if incidence_deg >= GRAZING_DEG else ""
    return f"{incidence_deg:.0f}° off square to its face{grazing}"
