"""The outing's panel on the page: six times, the day line, legs and deadlines, what is near."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.places.zones import clock_name, clock_text
from backbearing.writers.expose import range_text
from backbearing.writers.outing import near_text, short_text, six_times, sun_text
from backbearing.writers.page.dayline import day_line
from backbearing.writers.way import leg_remark
from backbearing.writers.words import day_text, duration_text

if TYPE_CHECKING:
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.page import ReturnPage


@dataclass(frozen=True, slots=True, kw_only=True)
class OutingWords:
    """The panel in words; `answer` is its sentence."""

    answer: str
    six: tuple[tuple[str, str, str], ...]
    line: str  # SVG
    warnings: tuple[str, ...]
    out: tuple[tuple[str, ...], ...]  # to, length, usual, slow, pass by, turn back, remark
    back: tuple[tuple[str, ...], ...]  # to, length, usual, slow, light until, remark
    near: tuple[tuple[str, ...], ...]
    rests_on: str
    cautions: str


def outing_words(page: ReturnPage) -> OutingWords | None:
    """The panel of the page's outing; None where none is planned."""
    outing = page.outing
    if outing is None:
        return None
    return OutingWords(
        answer=_answer(outing),
        six=six_times(outing),
        line=day_line(outing),
        warnings=tuple(_warnings(outing)),
        out=tuple(
            (
                one.leg.end_name,
                metres_text(one.leg.length_m),
                clock_text(one.arrive_usual, outing.zone),
                clock_text(one.arrive_slow, outing.zone),
                clock_text(one.pass_by, outing.zone),
                "no limit" if one.turn_back is None else clock_text(one.turn_back, outing.zone),
                _remark(leg_remark(one.leg), sun_text(one.sun, outing.zone)),
            )
            for one in outing.out
        ),
        back=tuple(
            (
                one.leg.end_name,
                metres_text(one.leg.length_m),
                clock_text(one.arrive_usual, outing.zone),
                clock_text(one.arrive_slow, outing.zone),
                "" if one.usable_until is None else clock_text(one.usable_until, outing.zone),
                _remark(leg_remark(one.leg), sun_text(one.sun, outing.zone)),
            )
            for one in outing.back
        ),
        near=tuple(
            (
                one.subject,
                near_text(one),
                metres_text(one.distance_m),
                duration_text(one.usual_s),
                f"{clock_text(one.begin, outing.zone)}–{clock_text(one.end, outing.zone)}"
                f" ± {one.window.plus_minus_min:.0f} min",
                "" if one.exposure is None else range_text(one.exposure),
                "after it" if one.after else "in its place",
            )
            for one in outing.near
        ),
        rests_on="; ".join(outing.rests_on),
        cautions=" ".join(outing.cautions),
    )


def _answer(outing: OutingAnswer) -> str:
    times, zone = outing.times, outing.zone
    leave = times.leave_home or times.leave_start
    door = "home" if times.leave_home is not None else outing.start_name
    limit = "" if times.away_by is None else f", away by {clock_text(times.away_by, zone)}"
    return (
        f"{day_text(outing.day)} to {outing.subject}: leave {door} {clock_text(leave, zone)}, be "
        f"set up by {clock_text(times.set_up_by, zone)}{limit}, back at {outing.start_name} by "
        f"{clock_text(times.back_by, zone)}; clock of {clock_name(zone)}."
    )


def _warnings(outing: OutingAnswer) -> list[str]:
    found = []
    if not outing.works:
        why = "; ".join(short_text(outing, one) for one in outing.short)
        found.append(f"This day does not work: {why}.")
    if outing.window.doubtful:
        found.append(
            "Doubtful light: the window is shorter than twice its ±; it may not be there at all."
        )
    return found


def _remark(*parts: str) -> str:
    return "; ".join(part for part in parts if part)
