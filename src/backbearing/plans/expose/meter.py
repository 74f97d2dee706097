"""What a meter said: "EV 9 incident", "1/30 s reflected", "EV 13 reflected snow"."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from backbearing.errors import BadInput, quoted
from backbearing.models.exposure import ev_of_time
from backbearing.plans.expose.seconds import METER_DOUBT_STOPS
from backbearing.saying import say

_READING = re.compile(
    r"(?:ev\s*(?P<ev>[-+−]?\d+(?:\.\d+)?)|(?:(?P<over>\d+)\s*/\s*)?(?P<time>\d+(?:\.\d+)?)\s*s)"
    r"\s+(?P<kind>incident|reflected)(?P<snow>\s+(?:off\s+)?snow)?",
    re.IGNORECASE,
)
_SNOW_STOPS = 2.0  # common practice: a meter takes snow for grey
_LOW_EV, _HIGH_EV = -10.0, 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A meter's reading as EV at ISO 100, what was read mended."""

    ev100: float
    words: str


def read_meter(text: str, *, where: str = "--meter") -> Reading:
    """What EV at ISO 100 does a written reading mean? A time is one at ISO 100 and f/16.

    Raises BadInput where it is no reading, or none a meter can give.
    """
    match = _READING.fullmatch(" ".join(text.split()))
    if match is None:
        raise BadInput(
            say("{text_} is not a meter reading", text_=quoted(text)),
            where=where,
            remedy=say(
                "write 'EV 9 incident', 'EV 9 reflected', 'EV 13 reflected snow', "
                "or the time at ISO 100 and f/16, as '1/30 s incident'"
            ),
        )
    if match["ev"] is not None:
        ev = float(match["ev"].replace("−", "-"))
    else:
        part = float(match["time"])
        if part <= 0.0 or match["over"] == "0":
            raise BadInput(say("the time read must be above 0"), where=where)
        ev = ev_of_time(float(match["over"]) / part if match["over"] else part)
    if match["snow"] and match["kind"].lower() == "incident":
        raise BadInput(
            say("an incident reading does not see the snow"),
            where=where,
            remedy=say("leave snow out, or write reflected"),
        )
    if not _LOW_EV <= ev <= _HIGH_EV:
        raise BadInput(
            say(
                "EV {ev:g} is outside {low_ev:g} to {high_ev:g}",
                ev=ev,
                low_ev=_LOW_EV,
                high_ev=_HIGH_EV,
            ),
            where=where,
            remedy=say("give the EV at ISO 100"),
        )
    words = say("{kind} reading, EV {ev:.3g} at ISO 100", kind=match["kind"].lower(), ev=ev)
    if match["snow"]:
        ev -= _SNOW_STOPS
        words += say(
            ", off snow: {snow_stops:g} stops more, so EV {ev:.3g}", snow_stops=_SNOW_STOPS, ev=ev
        )
    elif match["kind"].lower() == "reflected":
        words += say(" (off snow, add the word snow: it needs 2 stops more)")
    return Reading(ev100=ev, words=words)


def meter_says(ev: float, predicted: float, within: tuple[float, float], sky: str) -> str:
    """What may it mean where a reading lies outside the range predicted, and '' where it does not?

    within: the EV predicted, least and most.
    """
    if within[0] - METER_DOUBT_STOPS <= ev <= within[1] + METER_DOUBT_STOPS:
        return ""
    if not math.isfinite(predicted):
        return say("by prediction it is dark then: see whether the clock and the day are right")
    off, more = abs(ev - predicted), ev > predicted
    why = (
        say("the sun is on it after all, the meter saw the sky, or the ground throws back more")
        if more
        else say(
            "the sky is not {sky}, the sun is off it, trees or walls take more "
            "than is on record, or the meter was in shade",
            sky=say(sky),
        )
    )
    return (
        say(
            "{off:.1f} stops more than predicted (EV {predicted:.1f}): {why}; "
            "or the clock is another",
            off=off,
            predicted=predicted,
            why=why,
        )
        if more
        else say(
            "{off:.1f} stops less than predicted (EV {predicted:.1f}): {why}; "
            "or the clock is another",
            off=off,
            predicted=predicted,
            why=why,
        )
    )
