"""Light windows and wishes, in words."""

from __future__ import annotations

from itertools import pairwise
from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.words import degrees_text, sun_stands_text
from backbearing.places.zones import clock_name, clock_text, local
from backbearing.plans.light.best import NO_WISH, SKYLINE_FROM
from backbearing.plans.soundness import DOUBTFUL
from backbearing.writers.text import clean, table

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence, Set
    from datetime import date

    from backbearing.plans.light import LightAnswer
    from backbearing.plans.light.unmatched import Unmatched
    from backbearing.plans.wishes import WishAnswer
    from backbearing.records import LightWindow

_UNMATCHED_SHOWN = 10
_RELAXING_SHOWN = 4
_DAY_ENDS_OF_ONE = 3  # more are dates all over the year
_FLAT = "flat horizon assumed"  # so begins what says that it is, and why
_HOURS_FROM_MIN = 60.0  # from here on an edge is told in hours, and a better position asked for
_WIDE = 100

_WISH_BASIS = {
    "on record": "wanted",
    "the subject's": "nothing of its own; the subject's wish",
    "generic default": "nothing asked for yet; generic default",
}


def light_text(answer: LightAnswer, *, neighbours: bool = True) -> str:
    """The answer of `light`: a line and a reason for each window, and what it rests on.

    neighbours: whether windows much the same as one before are listed too, or only counted.
    """
    if not answer.wishes:
        return "No subject is on record to look for light at; `backbearing mark` puts one there."
    one = None if _several(answer) else answer.wishes[0]
    zones = sorted({window.zone for window in answer.windows})
    head = f"Best light at {clean(one.subject)}" if one else "Best light"
    head += f", {_period(answer.start, answer.end)}"
    if answer.start != answer.end and len(_main_windows(answer.windows)) > 1:
        head += ", best first"
    if len(zones) == 1:
        head += f"; clock of {clock_name(zones[0])}"
    lines = [head, *_next_lines(answer, several=one is None)]
    lines += [_folded(_sentence(line)) for line in answer.assumptions if _of_horizon(line)]
    if one:
        for wish in answer.wishes:
            at = f" from {clean(wish.camera_position)}" if wish.camera_position else ""
            lines.append(_folded(f"Wanted{at}: {wish.words} ({wish.basis})."))
    if answer.windows:
        lines += ["", *_window_lines(answer, neighbours, several=one is None, zones=len(zones))]
        lines += _more_lines(answer, neighbours)
    days = {window.day for window in _shown(answer, neighbours)}
    foot = [
        *_rests_on(answer),
        *_doubtful_lines(answer, neighbours),
        *_position_advice(answer, neighbours),
        *_day_end_lines(answer, days, several=one is None),
    ]
    if foot:
        lines += ["", *(_folded(_sentence(line)) for line in foot)]
    if answer.unmatched:
        lines += ["", *_unmatched_lines(answer.unmatched, several=one is None)]
    if answer.cautions:
        lines += ["", *(_folded(_sentence(line)) for line in answer.cautions)]
    return "\n".join(lines)


def wish_text(answer: WishAnswer) -> str:
    """The answer of `want`: what is wanted, a line each."""
    at = f" from {clean(answer.camera_position)}" if answer.camera_position else ""
    lines = [
        f"{clean(answer.subject)}{at}, {_WISH_BASIS[answer.basis]}:",
        *(f"  {clause}" for clause in answer.words),
    ]
    if not answer.words:
        lines.append("  any light")
    lines += [
        f"from {clean(own.camera_position)}: {'; '.join(own.words) or 'any light'}"
        for own in answer.own
    ]
    if answer.missing:
        lines.append(_sentence(answer.missing))
    return "\n".join(lines)


def _next_lines(answer: LightAnswer, *, several: bool) -> Iterator[str]:
    """The soonest window in one line, before the ranking that may put it further down."""
    window = answer.next_window
    if window is None:
        return
    subject = f" at {clean(window.subject)}{_star(answer, window)}" if several else ""
    sun = f"{_stands(window)}, {window.lit_from}" if window.sky == "clear" else "overcast"
    yield _folded(
        f"Next: {_day(window.day, year=True)} {clock_text(window.start, window.zone)}–"
        f"{_end_text(window)}{subject} ({_error_words(window)}), "
        f"best {clock_text(window.best, window.zone)}: {sun}."
    )
    if window.subject not in {shown.subject for shown in answer.windows}:
        yield from _hindrance_lines(answer, window.subject)


def _window_lines(
    answer: LightAnswer, neighbours: bool, *, several: bool, zones: int
) -> Iterator[str]:
    """The windows as a table: each row with its reason, those much the same as one above last."""
    years = answer.start.year != answer.end.year
    head = [
        *(["subject"] if several else []),
        *("day", "from", "until", "± min", "best", "sun", "lit from"),
        *(["clock"] if zones > 1 else []),
    ]
    beside = _overcast_beside(answer)
    shown = _shown(answer, neighbours)
    different = len(_main_windows(answer.windows[: answer.different]))
    rows = [
        [
            *([window.subject + _star(answer, window)] if several else []),
            _day(window.day, year=years),
            clock_text(window.start, window.zone),
            _end_text(window),
            f"{window.plus_minus_min:.0f}" if window.plus_minus_min else "by the clock",
            clock_text(window.best, window.zone),
            f"{_stands(window)}{_magnetic(answer, window)}",
            window.lit_from,
            *([clock_name(window.zone)] if zones > 1 else []),
        ]
        for window in shown
    ]
    drawn = table(head, rows, right=(head.index("± min"),)).split("\n")
    yield drawn[0]
    told: set[str] = set()
    overcast_told: set[tuple[str, str]] = set()
    for number, (line, window) in enumerate(zip(drawn[1:], shown, strict=True)):
        if number >= different:
            if number == different:
                yield "Much the same as one above:"
            yield line
            continue
        yield line
        reason = "Doubtful. " if window.doubtful else ""
        reason += clean(window.why)
        if window.camera_position != "main":
            reason += f" Camera position: {clean(window.camera_position)}."
        other = beside.get(id(window))
        if other is not None:
            hours = f"{clock_text(other.start, other.zone)}–{_end_text(other)}"
            if (window.subject, hours) not in overcast_told:  # the same hours are said once
                reason += f" Overcast will do {hours}."
                overcast_told.add((window.subject, hours))
        yield _folded(reason, "    ")
        if window.subject not in told:
            told.add(window.subject)
            yield from _hindrance_lines(answer, window.subject)


def _hindrance_lines(answer: LightAnswer, subject: str) -> Iterator[str]:
    """What stopped me at a subject, and what to change."""
    for one in answer.hindrances:
        if one.subject == subject:
            if one.blocked:
                yield _folded(f"Blocked: {clean(one.blocked)}", "    ")
            if one.next_time:
                yield _folded(f"Next time: {clean(one.next_time)}", "    ")


def _more_lines(answer: LightAnswer, neighbours: bool) -> Iterator[str]:
    """What the table leaves out, and how to see it."""
    shown = len(_main_windows(answer.windows))
    different = len(_main_windows(answer.windows[: answer.different]))
    alike = answer.left_off_alike + (0 if neighbours else shown - different)
    others = answer.left_off - answer.left_off_alike
    if others and alike:
        named = f"{others} more, and {alike} much the same as one of these"
    elif alike:
        named = f"{alike} more, much the same as {'the one' if different == 1 else 'one'} above"
    else:
        named = f"{others} more"
    if others or alike:
        them = "it" if others + alike == 1 else "them"
        yield f"{named}; --limit {shown + answer.left_off} shows {them}."


def _overcast_beside(answer: LightAnswer) -> dict[int, LightWindow]:
    """The overcast window of the same date that follows a clear one, by the clear one's id."""
    return {
        id(clear): other for clear, other in pairwise(answer.windows) if _goes_with(clear, other)
    }


def _shown(answer: LightAnswer, neighbours: bool) -> list[LightWindow]:
    """The windows with a row of their own."""
    return _main_windows(answer.windows if neighbours else answer.windows[: answer.different])


def _main_windows(windows: Sequence[LightWindow]) -> list[LightWindow]:
    """All but the overcast windows that only stand beside a clear one of their date."""
    first = list(windows[:1])
    return first + [other for clear, other in pairwise(windows) if not _goes_with(clear, other)]


def _goes_with(clear: LightWindow, other: LightWindow) -> bool:
    return (clear.sky, other.sky, clear.subject, clear.day) == (
        "clear",
        "overcast",
        other.subject,
        other.day,
    )


def _end_text(window: LightWindow) -> str:
    """The clock at the end, marked where it is that of a later day."""
    days = (local(window.end, window.zone).date() - window.day).days
    return clock_text(window.end, window.zone) + (f" +{days}d" if days else "")


def _unmatched_lines(unmatched: tuple[Unmatched, ...], *, several: bool) -> Iterator[str]:
    """Of one subject the whole reason; of several only their names, as their light is elsewhere."""
    if several:
        names = ", ".join(clean(one.subject) for one in unmatched[:_UNMATCHED_SHOWN])
        rest = len(unmatched) - _UNMATCHED_SHOWN
        more = f" and {rest} more" if rest > 0 else ""
        yield _folded(f"Nothing under a clear sky: {names}{more} (`light NAME` says why).")
        return
    yield "Nothing under a clear sky:"
    for one in unmatched:
        yield _folded(f"{clean(one.subject)}: {one.sentence}.", "  ")
        for option in one.relaxing[1:_RELAXING_SHOWN]:
            enough = f"; {option.enough} would do for one" if option.enough else ""
            named = " and ".join(f"'{clause}'" for clause in option.conditions)
            yield _folded(
                f"without {named}: {option.windows}, "
                f"the first on {_day(option.first_day, year=True)}{enough}",
                "    ",
            )


def _rests_on(answer: LightAnswer) -> Iterator[str]:
    """What the windows above it rest on, but for the horizon, which stands in the head."""
    several = _several(answer)
    for line in answer.assumptions:
        if not _of_horizon(line):
            # the star of the rows is explained here
            yield f"* {line}" if several and line.startswith(NO_WISH) else line
    if not several:
        # the horizon is among the assumptions already
        every = [line for window in answer.windows for line in window.rests_on[1:]]
        if every:
            yield f"rests on {'; '.join(dict.fromkeys(every))}"


def _several(answer: LightAnswer) -> bool:
    """Whether more than one subject was asked about."""
    return len({wish.subject for wish in answer.wishes}) > 1


def _doubtful_lines(answer: LightAnswer, neighbours: bool) -> Iterator[str]:
    """What 'doubtful' says, once, where any window named is so."""
    named = [*_shown(answer, neighbours), *([answer.next_window] if answer.next_window else [])]
    if any(window.doubtful for window in named):
        yield DOUBTFUL


def _position_advice(answer: LightAnswer, neighbours: bool) -> Iterator[str]:
    """Where a window's minutes are off by more than an hour over known ground: what helps."""
    shown = _shown(answer, neighbours)
    vague = {w.subject for w in shown if w.plus_minus_min > _HOURS_FROM_MIN and _over_ground(w)}
    if vague:
        named = ", ".join(sorted(vague))
        yield (
            f"± of more than an hour at {named}: good to hours, not minutes; a better position, "
            "or its edge measured by hand, is worth the trouble"
        )


def _over_ground(window: LightWindow) -> bool:
    """Whether a skyline of the ground bounds the sky there, and not a plain."""
    return not window.rests_on[0].startswith("flat horizon")


def _of_horizon(line: str) -> bool:
    """Whether an assumption is about what bounds the sky."""
    return line.startswith((_FLAT, SKYLINE_FROM))


def _day_end_lines(answer: LightAnswer, days: Set[date], *, several: bool) -> Iterator[str]:
    """When the days named end, on each clock in a line; of one subject only where they are few."""
    ends = [end for end in answer.day_ends if end.day in days]
    if not several and len(ends) > _DAY_ENDS_OF_ONE:
        return
    for at in dict.fromkeys(end.at for end in ends):
        said = []
        for end in ends:
            if end.at == at:
                sunset = clock_text(end.sunset, end.zone) if end.sunset else "none"
                dusk = clock_text(end.civil_dusk, end.zone) if end.civil_dusk else "none"
                said.append(f"{_day(end.day, year=False)}: sunset {sunset}, dusk {dusk}")
        yield "; ".join(said) + (f" (at {at})" if several else "")


def _period(start: date, end: date) -> str:
    return _day(start, year=True) + ("" if start == end else f" to {_day(end, year=True)}")


def _day(day: date, *, year: bool) -> str:
    return f"{day:%a} {day.day} {day:%b}" + (f" {day.year}" if year else "")


def _star(answer: LightAnswer, window: LightWindow) -> str:
    """`*` after the name of a subject that no light was asked for."""
    generic = any(
        wish.subject == window.subject and wish.basis == "generic default" for wish in answer.wishes
    )
    return "*" if generic else ""


def _error_words(window: LightWindow) -> str:
    if not window.plus_minus_min:
        return "by the clock"
    doubtful = ", doubtful" if window.doubtful else ""
    return f"± {window.plus_minus_min:.0f} min{doubtful}"


def _stands(window: LightWindow) -> str:
    """`12° up at 147°`."""
    return f"{sun_stands_text(window.sun_altitude_deg)} at {_azimuth(window.sun_azimuth_deg)}"


def _magnetic(answer: LightAnswer, window: LightWindow) -> str:
    """` (153M)`: the sun's azimuth by the compass, where it is known."""
    if answer.declination_deg is None:
        return ""
    return f" ({degrees_text(window.sun_azimuth_deg - answer.declination_deg)[:-1]}M)"


def _azimuth(angle: float) -> str:
    return f"{round(angle) % 360}°"


def _sentence(text: str) -> str:
    shown = clean(text)
    return f"{shown[:1].upper()}{shown[1:]}" + ("" if shown.endswith(".") else ".")


def _folded(text: str, indent: str = "") -> str:
    """Prose over as many lines as it needs; the later ones stand a little further in."""
    return fill(
        text,
        _WIDE,
        initial_indent=indent,
        subsequent_indent=f"{indent}  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
