"""The second page of the sheet: what is used at the tripod, and what if it comes otherwise."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.saying import say
from backbearing.writers.expose import range_text, table_cells
from backbearing.writers.frame import headline, sharp_words, way_sentence
from backbearing.writers.framedrawing import frame_legend, frame_name, frame_svg, plate_words
from backbearing.writers.outingwords import near_head, near_row
from backbearing.writers.sheet.paper import picture, safe, table
from backbearing.writers.words import clock_on, day_text, plus_minus_text

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from backbearing.plans.taking import SheetAnswer

MARKS_AT_M = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 30.0)  # of the usual distances, on paper
LEAST_BLANKS, MOST_BLANKS = 3, 6  # rows to write plates into
NEXT_DAYS = 3
_KEPT = "\u00a0"  # a space at which no line ends
SHOWN_EVS = {str(ev) for ev in range(2, 16)}  # beyond them nobody takes a plate outdoors


def seconds(answer: SheetAnswer) -> Iterator[str]:
    """The exposure as planned, and what the meter says in seconds."""
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


def by_the_clock(answer: SheetAnswer) -> Iterator[str]:
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


def next_light(answer: SheetAnswer) -> Iterator[str]:
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


def marks(answer: SheetAnswer) -> Iterator[str]:
    """Where each distance stands on the lens, and what is sharp then."""
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


def frame(answer: SheetAnswer) -> Iterator[str]:
    """The plate with the subject in it."""
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


def near(answer: SheetAnswer) -> Iterator[str]:
    """What else is near, with its light before the limit."""
    outing = answer.outing
    yield ("<h2>" + say("Others near, with light before the limit") + "</h2>")
    if not outing.near:
        yield ("<p>" + say("None on record that day.") + "</p>")
        return
    yield table(near_head(), [near_row(outing, one) for one in outing.near])


def packing(answer: SheetAnswer) -> Iterator[str]:
    """What to take along."""
    outing = answer.outing
    yield ("<h2>" + say("Pack") + "</h2>")
    loaded = ", ".join(outing.loaded) if outing.loaded else say("none on record")
    words = say(
        "Loaded: {loaded}. Plates planned: {plates}. ☐ camera ☐ lens ☐ "
        "holders ☐ tripod ☐ dark cloth ☐ meter ☐ cable, cap ☐ compass ☐ "
        "clinometer ☐ this sheet ☐ light for the way back ☐ warm layer ☐ "
        "food, water ☐ first aid ☐ telephone, charged",
        loaded=safe(loaded),
        plates=outing.budget.plates,
    )
    before, *things = words.split("☐")
    # no box parts from its words at a line's end
    kept = ("☐ " + each.strip() for each in things)
    yield f"<p>{before}{' '.join(each.replace(' ', _KEPT) for each in kept)}</p>"


def blanks(answer: SheetAnswer) -> Iterator[str]:
    """Rows to write the plates made into."""
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


def _clock(answer: SheetAnswer, at: datetime) -> str:
    return clock_on(at, answer.outing.zone, answer.outing.day)
