"""The sheet of an outing: what stands on its two pages, and on the panel of its times."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import degrees_text, metres_text
from backbearing.places.zones import clock_name
from backbearing.saying import say
from backbearing.writers.expose import range_text, table_cells
from backbearing.writers.frame import fits_not_text, headline, sharp_words, way_sentence
from backbearing.writers.framedrawing import frame_legend, frame_name, frame_svg, plate_words
from backbearing.writers.lightclocks import best_missed_text
from backbearing.writers.outing import (
    DEADLINES,
    deadlines_text,
    does_not_work_text,
    ground_cautions,
    hangs_text,
    near_text,
    next_day_text,
    six_times,
    sun_text,
)
from backbearing.writers.sheet.map import sheet_map
from backbearing.writers.sheet.paper import Paper, document, panel, picture, safe, table
from backbearing.writers.skylinestrip import ON_PAPER, skyline_svg, strip_words
from backbearing.writers.way import STEEP_DEG
from backbearing.writers.words import clock_on, day_text, duration_text, plus_minus_text

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from backbearing.plans.taking import RouteRow, SheetAnswer
    from backbearing.records import Leg

MARKS_AT_M = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 30.0)  # of the usual distances, on paper
MOST_ON_ONE_PAGE = 12  # legs out and back, with which the map gives way to keep the skyline by it
LEAST_BLANKS, MOST_BLANKS = 3, 6  # rows to write plates into
NEXT_DAYS = 3
SHOWN_EVS = {str(ev) for ev in range(2, 16)}  # beyond them nobody takes a plate outdoors


def sheet_html(answer: SheetAnswer, *, paper: Paper = "A4") -> str:
    """The sheet: six times and the route card first, then what is used at the tripod."""
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
        *_seconds(answer),
        "</div><div>",
        *_frame(answer),
        *_by_the_clock(answer),
        "</div></div>",
        *_marks(answer),
        *_next_light(answer),
        *_near(answer),
        *_packing(answer),
        *_blanks(answer),
        *_rests(answer),
    ]
    return document(f"{outing.subject}, {outing.day}", "\n".join(parts), paper)


def times_html(answer: SheetAnswer) -> str:
    """One A5 panel with the six clock times, to be read at arm's length in the cold."""
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
        if outing.blocked:
            said.append("<b>" + say("Blocked last time:") + f"</b> {safe(outing.blocked)}")
        if outing.next_time:
            said.append("<b>" + say("Next time:") + f"</b> {safe(outing.next_time)}")
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


def _seconds(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    if outing.exposure is not None:
        yield (
            "<p><b>"
            + say(
                "{batch} at f/{f_number:.3g}: {exposure}",
                batch=safe(outing.batch),
                f_number=outing.f_number,
                exposure=safe(range_text(outing.exposure)),
            )
            + "</b> "
            + say(
                "begun as planned, {expose}, {sky} sky.",
                expose=safe(clock_on(outing.times.expose, outing.zone, outing.day)),
                sky=safe(say(outing.window.sky)),
            )
            + "</p>"
        )
    if answer.tables is None:
        yield (
            "<p>"
            + say("No seconds: {why_no_tables}.", why_no_tables=safe(answer.why_no_tables))
            + "</p>"
        )
    else:
        head, rows = table_cells(answer.tables)
        yield (
            "<p><b>"
            + say("Meter to seconds")
            + "</b>"
            + say(
                ", {batch}, ISO {speed_iso:g}, for {light}, with reciprocity; incident readings",
                batch=safe(answer.tables.batch.name),
                speed_iso=answer.tables.batch.speed_iso,
                light=safe(answer.tables.light),
            )
            + "</p>"
        )
        shown = [row for row in rows if row[0] in SHOWN_EVS]
        yield table(head, shown, kind="meter")


def _by_the_clock(answer: SheetAnswer) -> Iterator[str]:
    """Seconds round the planned light, under both skies; nothing where they are of another's."""
    held, outing = answer.page.tripod, answer.outing
    for course in held.courses if held else ():
        if course.window.best != outing.window.best or course.subject != outing.subject:
            continue
        head = [say("begun at"), *(say(sky) for sky in course.skies)]
        rows = [
            [_clock(answer, one.at), *(range_text(each) for each in one.seconds)]
            for one in course.told
            if any(one.seconds)  # not the minutes that are too dark under both
        ]
        yield table(head, rows, kind="meter")


def _next_light(answer: SheetAnswer) -> Iterator[str]:
    """The next days with light, in case the weather spoils this one."""
    outing = answer.outing
    soon = [
        say(
            "{day} {begin}–{end} {plus_minus}",
            day=day_text(one.day),
            begin=clock_on(one.start, one.zone, one.day),
            end=clock_on(one.end, one.zone, one.day),
            plus_minus=plus_minus_text(one),
        )
        for each in answer.page.subjects
        for one in each.windows
        if one.sky == "clear"
        and one.day > outing.window.day
        and one.camera_position == outing.camera_position
    ][:NEXT_DAYS]
    if soon:
        words = say("If the weather spoils it, the next light: {days}.", days="; ".join(soon))
        yield f'<p class="small">{safe(words)}</p>'


def _marks(answer: SheetAnswer) -> Iterator[str]:
    focus = answer.focus
    if focus is not None:
        yield (
            "<p><b>"
            + say("Distance to mark")
            + "</b>"
            + say(
                ", {lens} on {camera}, distances from the lens",
                lens=safe(focus.lens),
                camera=safe(focus.camera),
            )
            + "</p>"
        )
        head = [
            say("distance"),
            say("covers m"),
            say("set"),
            *(say("sharp, {aperture}", aperture=a) for a in focus.apertures),
        ]
        rows = [
            [
                metres_text(row.distance_m),
                f"{row.wide_m:.2f} × {row.high_m:.2f}",
                row.set_at,
                *(sharp_words(depth) for depth in row.chosen.depths),
            ]
            for row in focus.rows
            if row.distance_m in MARKS_AT_M
        ]
        yield table(head, rows, kind="marks")
        if any("*" in cell for row in rows for cell in row[3:]):
            words = say("* the distance itself is not sharp then")
            yield f'<p class="small">{safe(words)}</p>'


def _frame(answer: SheetAnswer) -> Iterator[str]:
    yield ("<h2>" + say("Frame") + "</h2>")
    if answer.frame is None:
        yield (
            "<p>"
            + say("Not known: {why_no_frame}.", why_no_frame=safe(answer.why_no_frame))
            + "</p>"
        )
        return
    frame = answer.frame
    drawn = picture(frame_svg(frame, worded=False), say("The plate with the subject"))
    yield (
        (
            f"<p><b>{safe(frame_name(frame))}</b>, {safe(plate_words(frame))}. <b>"
            f"{safe(headline(frame))}</b> {safe(way_sentence(frame))}</p><div "
            f'class="plate">{drawn}</div><p class="small">'
        )
        + say("Margins in mm on the plate; {frame_legend}.", frame_legend=safe(frame_legend(frame)))
        + "</p>"
    )


def _near(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield ("<h2>" + say("Others near, with light before the limit") + "</h2>")
    if not outing.near:
        yield ("<p>" + say("None on record that day.") + "</p>")
        return
    head = [
        say("subject"),
        say("bearing"),
        say("away"),
        say("on foot"),
        say("light there"),
        "± min",
        say("seconds"),
        say("when"),
    ]
    rows = [
        [
            one.subject,
            near_text(one),
            metres_text(one.distance_m),
            duration_text(one.usual_s),
            f"{_clock(answer, one.begin)}–{_clock(answer, one.end)}",
            f"{one.window.plus_minus_min:.0f}",
            "" if one.exposure is None else range_text(one.exposure),
            say("after it") if one.after else say("instead"),
        ]
        for one in outing.near
    ]
    yield table(head, rows)


def _packing(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield ("<h2>" + say("Pack") + "</h2>")
    loaded = ", ".join(outing.loaded) if outing.loaded else say("none on record")
    yield (
        "<p>"
        + say(
            "Loaded: {loaded}. Plates planned: {plates}. ☐ camera ☐ lens ☐ "
            "holders ☐ tripod ☐ dark cloth ☐ meter ☐ cable, cap ☐ compass ☐ "
            "clinometer ☐ this sheet ☐ light for the way back ☐ warm layer ☐ "
            "food, water ☐ first aid ☐ telephone, charged",
            loaded=safe(loaded),
            plates=outing.budget.plates,
        )
        + "</p>"
    )


def _blanks(answer: SheetAnswer) -> Iterator[str]:
    yield ("<h2>" + say("Made") + "</h2>")
    head = [
        say("time"),
        say("holder"),
        say("seconds"),
        say("aperture"),
        say("mark"),
        say("lit / not"),
        say("water, snow"),
        say("remark"),
    ]
    rows = min(max(answer.outing.budget.plates, LEAST_BLANKS), MOST_BLANKS)
    yield table(head, [[""] * len(head)] * rows, kind="blank")


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
