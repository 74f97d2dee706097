"""What lies between the lit and the shaded side, and from tone to tone, against what a batch holds.

How the spans add up: `models.contrast`.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.models.contrast import TONES, scene_stops, side_stops, tone_stops
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.expose.course import Course
    from backbearing.plans.expose.seconds import Setup


@dataclass(frozen=True, slots=True, kw_only=True)
class Tone:
    """A tone against middle grey in the plate's own colours."""

    name: str
    stops: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """What lies between lit and shaded side, and from tone to tone."""

    sides_stops: float | None  # None: no sun on it
    tones: tuple[Tone, ...]
    wanted: tuple[str, ...]  # the tones that count; none named: a single one in sun and shade
    span_stops: float  # lightest tone wanted, lit, to the darkest in shade
    warning: str


def read_tones(names: Sequence[str], *, where: str = "--tone") -> tuple[str, ...]:
    """The tones of these names. Raises BadInput with the nearest for one that is none."""
    found = []
    for name in names:
        tone = " ".join(name.split()).casefold()
        if tone not in TONES:
            near = difflib.get_close_matches(tone, TONES, n=1)
            raise BadInput(
                say("{name} is not a tone", name=quoted(name)),
                where=where,
                remedy=say("did you mean {near}?", near=near[0])
                if near
                else say("it is one of {tones}", tones=", ".join(TONES)),
            )
        found.append(tone)
    return tuple(dict.fromkeys(found))


def contrast_of(
    course: Course, way: Setup, i: int, *, ground: str, wanted: tuple[str, ...]
) -> Contrast:
    """The contrast on a subject at a minute, and whether it is more than the batch holds."""
    light, emulsion = course.light.light, way.batch.emulsion
    total, direct = float(light.total_lux[i]), float(light.direct_lux[i])
    off_ground = float(light.ground_disc_lux[i])  # the sun's colour, in its shade too
    sides = None
    if direct > 0.0 and total > direct:
        altitude = float(course.light.sun_altitude_deg[i])
        shade = way.colour(altitude, off_ground / (total - direct), course.light.sky)
        sides = side_stops(total, total - direct, course.colour(way, i), shade)
    names = [n for n in TONES if n != "fresh snow" or "snow" in ground or n in wanted]
    span = scene_stops(wanted, emulsion, sides)
    return Contrast(
        sides_stops=sides,
        tones=tuple(Tone(name=n, stops=tone_stops(n, emulsion)) for n in names),
        wanted=wanted,
        span_stops=span,
        warning=_warning(way, span, sides, wanted),
    )


def _warning(way: Setup, span: float, sides: float | None, wanted: tuple[str, ...]) -> str:
    holds = way.batch.holds_stops
    if holds is None or span <= holds:
        return ""
    if not wanted:
        ends = say("one and the same tone in sun and in shade")
    else:
        stops = {tone: tone_stops(tone, way.batch.emulsion) for tone in wanted}
        dark, pale = min(wanted, key=stops.__getitem__), max(wanted, key=stops.__getitem__)
        if sides is None:
            ends = say("{dark} and {pale}", dark=dark, pale=pale)
        elif sides >= 0.0:
            ends = say("{dark} in shade and {pale} in sun", dark=dark, pale=pale)
        else:
            ends = say("{dark} in sun and {pale} in shade", dark=dark, pale=pale)
    return say(
        "{span:.1f} stops between {ends}; the batch holds {holds:g}",
        span=span,
        ends=ends,
        holds=holds,
    )
