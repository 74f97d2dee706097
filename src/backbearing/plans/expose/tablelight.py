"""The light a table of seconds is made for: "sun 8", "shade", "hazy", "overcast"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.models.actinic import sun_share
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.plans.expose.course import Course
    from backbearing.plans.expose.seconds import Setup

_SUN = re.compile(r"sun\s+(\d+(?:\.\d+)?)\s*°?", re.IGNORECASE)
_SHADE_SUN_DEG = 20.0  # the blue of the sky alone counts in shade, wherever the sun stands


@dataclass(frozen=True, slots=True, kw_only=True)
class TableLight:
    """A light by its colour: how high the sun, what share of the light is its own."""

    words: str
    sun_altitude_deg: float
    direct_share: float
    sky: str

    def colour(self, setup: Setup) -> float:
        """Stops by which the plate is faster in it than in the light of its trial."""
        return setup.colour(self.sun_altitude_deg, self.direct_share, self.sky)


def read_light(text: str, *, where: str = "--light") -> TableLight:
    """What light is meant by "sun 8" (degrees up), "shade", "hazy" or "overcast"?

    Raises BadInput for anything else, or a sun that is not up.
    """
    plain = " ".join(text.split()).casefold()
    if plain == "shade":
        return TableLight(
            words=say("open shade under a clear sky"),
            sun_altitude_deg=_SHADE_SUN_DEG,
            direct_share=0.0,
            sky="clear",
        )
    if plain in ("hazy", "overcast"):
        return TableLight(
            words=say("haze, no shadows") if plain == "hazy" else say("an overcast sky"),
            sun_altitude_deg=_SHADE_SUN_DEG,
            direct_share=0.0,
            sky=plain,
        )
    match = _SUN.fullmatch(plain)
    altitude_deg = float(match[1]) if match else 0.0
    if not 0.0 < altitude_deg <= 90.0:
        raise BadInput(
            say("{text_} is not a light", text_=quoted(text)),
            where=where,
            remedy=say("write 'sun 8' for a sun 8° up, shade, hazy or overcast"),
        )
    return TableLight(
        words=say("sun and sky with the sun {altitude_deg:g}° up", altitude_deg=altitude_deg),
        sun_altitude_deg=altitude_deg,
        direct_share=sun_share(altitude_deg),
        sky="clear",
    )


def light_then(course: Course, i: int, subject: str, clock: str) -> TableLight:
    """The light of a course at a minute, named by subject and clock, for tables."""
    return TableLight(
        words=say(
            "the light at {subject} at {clock}, {sky} sky",
            subject=subject,
            clock=clock,
            sky=say(course.light.sky),
        ),
        sun_altitude_deg=float(course.light.sun_altitude_deg[i]),
        direct_share=float(course.sun_share[i]),
        sky=course.light.sky,
    )
