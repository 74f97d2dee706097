"""What opens and closes a window, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from backbearing.models.wanted import GRAZING_DEG
from backbearing.models.windows import made_by_face
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.models.wanted import Condition


_BY_NAME = {
    "clock": phrase("by the clock"),
    "months": phrase("with the month"),
    "weekdays": phrase("with the day"),
}


def edge_words(made_by: Sequence[Condition], outside: int, *, opening: bool) -> str:
    """How a window opens or closes, as a phrase after that verb: 'as the sun climbs past 5°'.

    made_by: the conditions that fail at index `outside`, just beyond the edge; the first of
    several speaks for all. Empty where the period cuts the window.
    """
    if not made_by:
        return say("with the time asked for")
    condition = made_by[0]
    name = condition.name
    if name in _BY_NAME:
        return say(_BY_NAME[name])
    if name in ("direct sun", "shade"):
        edge = outside + 1 if opening else outside - 1
        if made_by_face(condition, np.asarray(edge), np.asarray(outside)):
            comes = opening is (name == "direct sun")
            return (
                say("as the sun comes on to its face")
                if comes
                else say("as the sun leaves its face")
            )
        return say("at first sun") if opening is (name == "direct sun") else say("at last sun")
    if name == "daylight":
        return say("at daybreak") if opening else say("at nightfall")
    if condition.value is None:
        return say("as the sun crosses the camera's line")
    beyond = float(condition.value[outside])
    if name == "sun azimuth":
        return (
            say("as the sun comes into its azimuths")
            if opening
            else say("as the sun leaves its azimuths")
        )
    if condition.low <= beyond <= condition.high:
        return say("as the sun crosses the camera's line")  # to the other side of the frame
    at_low = not beyond > condition.high  # nan, before any first sun, counts as below
    limit = condition.low if at_low else condition.high
    shown = f"{limit:g}".replace("-", "−")
    if name == "lit from":
        return say("as the sun stands {shown}° off the camera's line", shown=shown)
    if name == "sun height":
        return (
            say("as the sun climbs past {shown}°", shown=shown)
            if opening is at_low
            else say("as the sun sinks past {shown}°", shown=shown)
        )
    if name == "after first sun":
        return say("{shown} min after first sun", shown=shown) if limit else say("at first sun")
    return say("{shown} min before last sun", shown=shown) if limit else say("at last sun")


def on_face_words(incidence_deg: float, *, sunlit: bool) -> str:
    """How the sun meets the subject's face: '24° off square to its face', '' without sun.

    incidence_deg: how far the sun stands off square to it.
    """
    if not sunlit:
        return ""
    if incidence_deg >= 90.0:
        return say("its face in its own shade")
    grazing = say(", grazing") if incidence_deg >= GRAZING_DEG else ""
    return say(
        "{incidence_deg:.0f}° off square to its face{grazing}",
        incidence_deg=incidence_deg,
        grazing=grazing,
    )
