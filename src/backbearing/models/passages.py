"""How likely a passage is open today: what was found there, why, in which season, how long ago.

A blocked passage never takes away the ground beyond it: but for a wall, what blocks goes again.
All numbers here are judgement: common practice, no source. They stand in one table so that they
can be read, doubted and changed.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from backbearing.records import Passage, PassageCause, PassageKind, PassageReport

# never looked at: a bridge mostly stands, a ford depends on the week
UNSEEN: Mapping[PassageKind, float] = {"bridge": 0.9, "ford": 0.6, "gap": 0.6, "step": 0.5}
# it looked blocked and was not tried: looks deceive, from one side and a way off
LOOKED_BLOCKED = 0.35
# the chance of open on the very day it was found so
FOUND_OPEN = 0.97
# blocked by …: the days after which half of the reason to think so is gone
HALF_LIFE_DAYS: Mapping[PassageCause, float] = {
    "water": 5.0,  # a spate runs off in days; the season decides the rest
    "snow": 20.0,
    "windfall": 500.0,  # until somebody saws
    "ran out of time": 0.0,  # says nothing of the passage
    "": 365.0,
}
OPEN_HALF_LIFE_DAYS: Mapping[PassageKind, float] = {
    "bridge": 3650.0,
    "ford": 20.0,
    "gap": 1500.0,
    "step": 3650.0,
}
# what snow and water come to by themselves, by months since midwinter of the hemisphere
SNOW_OPEN = (0.3, 0.3, 0.4, 0.6, 0.8, 0.95, 1.0, 1.0, 1.0, 0.9, 0.7, 0.4)
WATER_OPEN = (0.6, 0.6, 0.5, 0.5, 0.6, 0.75, 0.85, 0.85, 0.8, 0.65, 0.55, 0.55)


def chance_open(passage: Passage, on: date) -> float:
    """How likely is a passage open on a day, 0 to 1?

    passage: with its reports, the latest last. Only a wall stays closed: 0. A passage found open
    keeps that for long (a ford for days); one found blocked is drawn back to what its kind and
    the season make likely, the faster the more passing its cause. Common practice, no source.
    """
    report = passage.latest
    usual = _usual(passage, report, on)
    if report.state == "blocked" and report.cause == "wall":
        return 0.0
    if report.state == "unknown" or report.cause == "ran out of time":
        return usual
    age_days = float("inf") if report.on is None else max(0.0, float((on - report.on).days))
    if report.state == "open":
        found, half_life = FOUND_OPEN, OPEN_HALF_LIFE_DAYS[passage.kind]
    else:
        found = LOOKED_BLOCKED if report.state == "looked blocked" else 0.02
        half_life = HALF_LIFE_DAYS[report.cause] if report.cause != "wall" else float("inf")
        if report.cause == "wall":  # a wall that was only seen from afar: looks deceive, always
            return LOOKED_BLOCKED
    weight = 0.5 ** (age_days / half_life) if half_life else 0.0
    return weight * found + (1.0 - weight) * usual


def worth_trying(
    chance: float, test_s: float, saved_s: float, *, lost_s: float | None = None
) -> float:
    """How many seconds does it save on average to go and try a passage (negative: it costs)?

    chance: that it is open. test_s: the way to where one sees it. saved_s: what it saves where
    it is open, against the way that surely goes. lost_s: what is lost where it is not; twice
    `test_s`, there and back, unless given.
    """
    lost = 2.0 * test_s if lost_s is None else lost_s
    return chance * saved_s - (1.0 - chance) * lost


def _usual(passage: Passage, report: PassageReport, on: date) -> float:
    """What its kind and the season make likely, whatever was found long ago."""
    usual = UNSEEN[passage.kind]
    # months since January in the north, since July in the south
    month = on.month - 1 if passage.place.latitude_deg >= 0.0 else (on.month + 5) % 12
    if report.cause == "snow":
        usual = min(1.0, usual + 0.3) * SNOW_OPEN[month]
    if passage.kind == "ford" or report.cause == "water":
        usual = WATER_OPEN[month] if passage.kind == "ford" else max(usual, WATER_OPEN[month])
    if report.cause == "windfall":
        usual *= 0.7
    return usual
