"""An outing in words: six clock times first, then legs with their deadlines, then the rest."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.places.zones import clock_name
from backbearing.saying import say
from backbearing.writers.expose import range_text
from backbearing.writers.outingwords import (
    DEADLINES,
    deadlines_text,
    ground_cautions,
    hangs_text,
    near_head,
    near_row,
    next_day_text,
    short_text,
    six_times,
    sun_text,
)
from backbearing.writers.text import clean, table
from backbearing.writers.way import leg_remark, passages_lines
from backbearing.writers.words import (
    clock_on,
    day_text,
    duration_text,
    plus_minus_text,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.outing.answer import SunOnGround
    from backbearing.records import Leg

_WIDE = 100


def outing_text(answer: OutingAnswer) -> str:
    """The day on one screen."""
    return "\n".join(_lines(answer))


def _lines(answer: OutingAnswer) -> Iterator[str]:
    yield _folded(
        say(
            "{subject}, {day}, from {start_name}; clock of {zone}",
            subject=answer.subject,
            day=day_text(answer.day),
            start_name=answer.start_name,
            zone=clock_name(answer.zone),
        )
    )
    yield ""
    if not answer.works:
        yield say("This day does not work:")
        for short in answer.short:
            yield _folded(f"- {short_text(answer, short)}", "  ")
        yield _folded(next_day_text(answer))
        yield ""
    for what, clock, remark in six_times(answer):
        yield f"  {what:<14}{clock:<13}{clean(remark)}".rstrip()
    if hangs := hangs_text(answer):
        yield _folded(say("The day hangs on {hangs}.", hangs=hangs), "  ")
    yield ""
    if answer.window.doubtful:
        yield _folded(
            say(
                "Doubtful light: the window is shorter than twice its ± "
                "({plus_minus}); it may not be there at all.",
                plus_minus=plus_minus_text(answer.window),
            )
        )
    if answer.window.sky == "overcast":
        yield say("This window is one for an overcast sky.")
    if answer.works:
        slack = say(
            "In hand: {slack_start} at the start", slack_start=duration_text(answer.slack_start_s)
        )
        if answer.slack_away_s is not None:
            slack += say(
                ", {slack_away} at the subject", slack_away=duration_text(answer.slack_away_s)
            )
        yield say(
            "{slack}; {margin} of margin kept besides.",
            slack=slack,
            margin=duration_text(answer.budget.margin_s),
        )
    yield _folded(_exposures_text(answer))
    if answer.blocked:
        yield _folded(say("Blocked last time: {blocked}", blocked=answer.blocked))
    if answer.next_time:
        yield _folded(say("Next time: {next_time}", next_time=answer.next_time))
    yield ""
    yield from _legs(answer)
    yield from map(_folded, passages_lines(answer.way))
    if answer.near:
        yield ""
        yield from _near(answer)
    yield ""
    yield say("Rests on:")
    for words in answer.rests_on:
        yield _folded(words, "  ")
    for words in (*answer.cautions, *ground_cautions(answer)):
        yield _folded(words)


def _legs(answer: OutingAnswer) -> Iterator[str]:
    head = [
        say("leg"),
        say("out to"),
        say("arrive"),
        say("slow"),
        say("pass by"),
        say("turn back"),
        say("sun on the steepest"),
    ]
    rows = []
    for number, one in enumerate(answer.out, start=1):
        rows.append(
            [
                str(number),
                one.leg.end_name,
                _clock(answer, one.arrive_usual),
                _clock(answer, one.arrive_slow),
                *deadlines_text(answer, one),
                _foot_text(answer, one.sun),
            ]
        )
    yield from _remarked(table(head, rows, right=[0]), [one.leg for one in answer.out])
    yield ""
    head = [
        say("leg"),
        say("back to"),
        say("arrive"),
        say("slow"),
        say("usable light until"),
        say("sun on the steepest"),
    ]
    rows = []
    for number, back in enumerate(answer.back, start=1):
        until = _clock(answer, back.usable_until) if back.usable_until else "–"
        under = say(", {sky_view:.0%} of the sky", sky_view=back.sky_view)
        under += say(", under trees") if back.canopy_stops else ""
        rows.append(
            [
                str(number),
                back.leg.end_name,
                _clock(answer, back.arrive_usual),
                _clock(answer, back.arrive_slow),
                f"{until}{under}",
                _foot_text(answer, back.sun),
            ]
        )
    yield from _remarked(table(head, rows, right=[0]), [back.leg for back in answer.back])
    yield _folded(say(DEADLINES))


def _remarked(drawn: str, legs: Sequence[Leg]) -> Iterator[str]:
    """A table of legs with what is to be known of each under its row."""
    first, *rows = drawn.split("\n")
    yield first
    for row, leg in zip(rows, legs, strict=True):
        yield row
        how = f"{leg.name}, {metres_text(leg.length_m)}"
        up = "" if not leg.ascent_m else say(", {ascent_m:.0f} m up", ascent_m=leg.ascent_m)
        remark = leg_remark(leg)
        yield _folded(f"{how}{up}{f'; {remark}' if remark else ''}", "     ")


def _foot_text(answer: OutingAnswer, sun: SunOnGround | None) -> str:
    words = sun_text(sun, answer.zone, answer.day)
    return (
        say("water: {words}", words=words)
        if words and sun and sun.what == "water crossing"
        else words
    )


def _near(answer: OutingAnswer) -> Iterator[str]:
    yield say("Near, with light before the limit:")
    rows = [near_row(answer, near) for near in answer.near]
    yield table(near_head(), rows, right=[2, 3, 5])


def _exposures_text(answer: OutingAnswer) -> str:
    budget = answer.budget
    plates = say("1 plate") if budget.plates == 1 else say("{plates} plates", plates=budget.plates)
    words = say(
        "{plates} in {exposing}, set up in ",
        plates=plates,
        exposing=duration_text(budget.exposing_s),
    )
    words += say(
        "{set_up}, packed in {pack}",
        set_up=duration_text(budget.set_up_s),
        pack=duration_text(budget.pack_s),
    )
    if answer.exposure is not None:
        words += say(
            "; {batch} at f/{f_number:.3g}: {exposure} each",
            batch=answer.batch,
            f_number=answer.f_number,
            exposure=range_text(answer.exposure),
        )
    return f"{words}."


def _clock(answer: OutingAnswer, at: datetime | None) -> str:
    return clock_on(at, answer.zone, answer.day)


def _folded(text: str, indent: str = "") -> str:
    return fill(
        clean(text),
        _WIDE,
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
