"""The sheet of an outing: what stands on its two pages, and on the panel of its times."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import degrees_text
from backbearing.places.zones import clock_name
from backbearing.saying import say
from backbearing.writers.apart import names_apart
from backbearing.writers.frame import fits_not_text
from backbearing.writers.lightclocks import best_missed_text
from backbearing.writers.named import outing_names
from backbearing.writers.outingwords import (
    DEADLINES,
    deadlines_text,
    does_not_work_text,
    ground_cautions,
    hangs_text,
    next_day_text,
    six_times,
    sun_text,
)
from backbearing.writers.page.head import cut
from backbearing.writers.sheet import tripod
from backbearing.writers.sheet.map import sheet_map
from backbearing.writers.sheet.paper import Paper, document, panel, picture, safe, table
from backbearing.writers.skylinestrip import ON_PAPER, skyline_svg, strip_words
from backbearing.writers.way import STEEP_DEG
from backbearing.writers.words import clock_on, day_text, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from backbearing.plans.taking import RouteRow, SheetAnswer
    from backbearing.records import Leg

_LONGEST_REMARK = 240  # the page has the rest
MOST_ON_ONE_PAGE = 12  # legs out and back, with which the map gives way to keep the skyline by it


def sheet_html(answer: SheetAnswer, *, paper: Paper = "A4") -> str:
    """The sheet: six times and the route card first, then what is used at the tripod."""
    with names_apart(outing_names(answer.outing)):
        return _sheet(answer, paper)


def _sheet(answer: SheetAnswer, paper: Paper) -> str:
    outing = answer.outing
    parts = [
        f'<div class="{"page1" if len(answer.route) <= MOST_ON_ONE_PAGE else ""}">',
        f"<h1>{safe(outing.subject)}, {day_text(outing.day)}</h1>",
        *_top(answer),
        *_route(answer),
        *_map(answer),
        *_skyline(answer),
        "</div>",
        ('<div class="two page2"><div><h2>' + say("At the tripod") + "</h2>"),
        *tripod.seconds(answer),
        "</div><div>",
        *tripod.frame(answer),
        *tripod.by_the_clock(answer),
        "</div></div>",
        *tripod.marks(answer),
        *tripod.next_light(answer),
        *tripod.near(answer),
        *tripod.packing(answer),
        *tripod.blanks(answer),
        *_rests(answer),
    ]
    return document(f"{outing.subject}, {outing.day}", "\n".join(parts), paper)


def times_html(answer: SheetAnswer) -> str:
    """One A5 panel with the six clock times, to be read at arm's length in the cold."""
    with names_apart(outing_names(answer.outing)):
        return _times(answer)


def _times(answer: SheetAnswer) -> str:
    outing = answer.outing
    rows = "".join(
        f"<tr><th>{safe(what)}</th><td>{safe(clock)}</td></tr>"
        f'<tr class="remark"><td colspan="2">{safe(remark)}</td></tr>'
        for what, clock, remark in six_times(outing)
    )
    body = (
        f"<h1>{safe(outing.subject)}, {day_text(outing.day)}</h1>\n"
        f"{''.join(_no_day(answer))}\n"
        f'<table class="big">{rows}</table>\n{"".join(_warnings(answer))}'
    )
    return panel(
        say("{subject}, {outing_day}: times", subject=outing.subject, outing_day=outing.day),
        body,
        crowded=not outing.works
        or (answer.frame is not None and answer.frame.picture.fits != "yes"),
    )


# ---------------------------------------------------------------- parts


def _top(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield from _no_day(answer)
    yield (
        '<div class="six">'
        + "".join(
            (
                f"<div{' class=light' if what == say('light') else ''}><span>"
                f"{safe(what)}</span><b>{safe(clock)}</b><span>{safe(remark)}"
                "</span></div>"
            )
            for what, clock, remark in six_times(outing)
        )
        + "</div>"
    )
    yield from _warnings(answer)
    if words := best_missed_text(outing):
        yield f"<p>{safe(words)}</p>"
    if outing.blocked or outing.next_time:
        said = []
        blocked, next_time = (cut(t, _LONGEST_REMARK) for t in (outing.blocked, outing.next_time))
        if outing.blocked:
            said.append("<b>" + say("Blocked last time:") + f"</b> {safe(blocked)}")
        if outing.next_time:
            said.append("<b>" + say("Next time:") + f"</b> {safe(next_time)}")
        yield f"<p>{' · '.join(said)}</p>"
    yield (
        '<p class="small">'
        + say(
            "{why} Clock of {zone}; deadlines at the slow pace, {margin} in "
            "hand before each limit.",
            why=safe(_why(answer)),
            zone=safe(clock_name(outing.zone)),
            margin=duration_text(outing.budget.margin_s),
        )
        + "</p>"
    )


def _why(answer: SheetAnswer) -> str:
    """Why the light is good, as the page says it: over the same days from this one on."""
    window = answer.outing.window
    for each in answer.page.subjects:
        for one in each.windows:
            if (one.subject, one.camera_position, one.best) == (
                window.subject,
                window.camera_position,
                window.best,
            ):
                return one.why
    return window.why


def _no_day(answer: SheetAnswer) -> Iterator[str]:
    """That the day does not work, before anything that looks like a plan."""
    outing = answer.outing
    if not outing.works:
        words = f"{does_not_work_text(outing)} {next_day_text(outing)}"
        yield f'<p class="warn no">{safe(words)}</p>'


def _warnings(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    if hangs := hangs_text(outing):
        yield ('<p class="warn">' + say("The day hangs on {hangs}.", hangs=safe(hangs)) + "</p>")
    if answer.frame is not None and (words := fits_not_text(answer.frame)):
        yield f'<p class="warn">{safe(words)}</p>'
    if outing.window.sky == "overcast":
        yield ('<p class="warn">' + say("This window is one for an overcast sky.") + "</p>")
    if outing.window.doubtful:
        yield (
            '<p class="warn">'
            + say(
                "Doubtful light: the window is shorter than twice its ±; it may "
                "not be there at all."
            )
            + "</p>"
        )


def _route(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield (
        "<h2>" + say("Route card, from {start_name}", start_name=safe(outing.start_name)) + "</h2>"
    )
    zone = _grid_zone(answer)
    head = [
        *(
            say("leg"),
            say("to"),
            say("grid {zone}", zone=zone).strip(),
            say("true"),
            say("mag."),
            "m",
            say("up"),
            "min",
            say("slow"),
            say("handrail"),
        ),
        *(say("attack point"), say("catches you"), say("escape"), say("pass by"), say("turn back")),
    ]
    out = [row for row in answer.route if row.out]
    rows = [
        [*_leg_cells(answer, row), *deadlines_text(answer.outing, one)]
        for row, one in zip(out, answer.outing.out, strict=True)
    ]
    yield table(head, rows, late=(13, 14))
    back = [row for row in answer.route if not row.out]
    if back:
        yield ("<p><b>" + say("Back") + "</b></p>")
        head = [*head[:13], say("light until"), say("steep; in sun")]
        rows = [
            [
                *_leg_cells(answer, row),
                "" if row.usable_until is None else _clock(answer, row.usable_until),
                "; ".join(
                    words
                    for words in (_steep(one.leg), sun_text(one.sun, outing.zone, outing.day))
                    if words
                ),
            ]
            for row, one in zip(back, outing.back, strict=True)
        ]
        yield table(head, rows, late=(13,))
    steep = [
        say("out {number}: {steep}", number=row.number, steep=words)
        for row, one in zip(out, outing.out, strict=True)
        if (words := _steep(one.leg))
    ]
    if steep:
        words = say("Steepest ground: {legs}.", legs=", ".join(steep))
        yield f'<p class="small">{safe(words)}</p>'
    yield f'<p class="small">{safe(say(DEADLINES))}</p>'


def _leg_cells(answer: SheetAnswer, row: RouteRow) -> list[str]:
    magnetic = row.bearing_magnetic_deg
    return [
        f"{row.number}{say(' rough') if row.rough else ''}",
        f"{row.to} ({row.how})" if row.out else row.to,
        row.grid.removeprefix(f"{_grid_zone(answer)} "),
        degrees_text(row.bearing_true_deg),
        "" if magnetic is None else degrees_text(magnetic),
        f"{row.length_m:.0f}",
        "" if row.ascent_m is None else f"{row.ascent_m:.0f}",
        f"{row.usual_s / 60.0:.0f}",
        f"{row.slow_s / 60.0:.0f}",
        row.handrail,
        row.attack_point,
        row.catching,
        row.escape,
    ]


def _steep(leg: Leg) -> str:
    """`29°`: the steepest ground of a leg, where it is steep enough to slip."""
    steepest = leg.steepest_deg
    if steepest is None or steepest < STEEP_DEG:
        return ""
    if leg.footing == "own track":
        return say("walked, {steepest:.0f}°", steepest=steepest)
    return f"{steepest:.0f}°"


def _grid_zone(answer: SheetAnswer) -> str:
    """The grid zone of all references on the card, '' where they have no one in common."""
    zones = {row.grid.split()[0] for row in answer.route}
    return zones.pop() if len(zones) == 1 else ""


def _map(answer: SheetAnswer) -> Iterator[str]:
    drawn = picture(sheet_map(answer), say("The way to the subject"))
    yield (
        '<section class="map"><h2>'
        + say("Map, grid as on the route card")
        + f"</h2>{drawn}</section>"
    )


def _skyline(answer: SheetAnswer) -> Iterator[str]:
    drawn = picture(
        skyline_svg(answer.skyline, ON_PAPER), say("Skyline strip with the sun's way of the day")
    )
    yield (
        '<section class="strip"><h2>'
        + say("Skyline")
        + (f'</h2>{drawn}<p class="small">{safe(strip_words(answer.skyline))}</p></section>')
    )


def _rests(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield (
        '<p class="small">'
        + say("Rests on: {rests_on}.", rests_on=safe("; ".join(outing.rests_on)))
        + "</p>"
    )
    yield f'<p class="small">{safe(" ".join([*outing.cautions, *ground_cautions(outing)]))}</p>'


def _clock(answer: SheetAnswer, at: datetime) -> str:
    return clock_on(at, answer.outing.zone, answer.outing.day)
