"""Where the sun stands to the face at a minute, in a word."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.plans.brightness import Brightness

SunThen = Literal["down", "hidden", "behind trees", "own shade", "on it"]


def sun_then(light: Brightness, i: int) -> SunThen:
    """Is the sun on the face at a minute of a clear sky, and if not, why?"""
    if float(light.disc_fraction[i]) <= 0.0:
        # less than its half over the open horizon is a sun that has set
        return "down" if float(light.sun_altitude_deg[i]) < 0.0 else "hidden"
    if float(light.light.direct_lux[i]) <= 0.0:
        return "own shade"
    return "behind trees" if bool(light.behind_trees[i]) else "on it"


def face_words(light: Brightness, i: int) -> str:
    """Where the sun is, as said beside the seconds; '' where there is nothing to say."""
    if light.sky == "overcast":
        return ""
    then, face = sun_then(light, i), light.scene.face
    taken = {
        "facing on record": "",
        "towards the camera": say(" (taken to look at the camera, no facing on record)"),
        "not known": say(" (taken as turned to the sun, no facing on record)"),
    }[face.basis]
    said = {
        "on it": say("on the face{taken}", taken=taken),
        "own shade": say("face in its own shade{taken}", taken=taken),
        "behind trees": say("behind trees"),
        "hidden": say("behind the skyline"),
        "down": "",
    }[then]
    if bool(light.sun_in_doubt[i]) and then != "down":
        return say("{said}; the skyline's error leaves that open, which is in the range", said=said)
    if then in ("on it", "own shade") and taken:
        said += say("; that it may look elsewhere is in the range")
    return said
