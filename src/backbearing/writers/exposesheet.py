"""The tripod table as one sheet to print: HTML without script or request, in black on white."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.zones import clock_text
from backbearing.saying import say
from backbearing.writers.expose import (
    IN_DOUBT,
    SKIES,
    range_text,
    sun_text,
    table_cells,
    zone_words,
)
from backbearing.writers.tripodsheet import page_html, safe, sentences, table_html
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from backbearing.plans.expose import ExposeAnswer, TripodTables


def sheet_html(tables: TripodTables, answer: ExposeAnswer | None, paper: str = "A4") -> str:
    """Meter → seconds, and clock → seconds where an answer is given. paper: A4 or Letter."""
    batch = safe(tables.batch.name)
    parts = [
        f"<h1>{batch}, ISO {tables.batch.speed_iso:g}</h1>",
        ("<h2>" + say("Meter to seconds, for {light}", light=safe(tables.light)) + "</h2>"),
    ]
    parts.append(table_html(*table_cells(tables)))
    parts.append(f"<p>{safe(sentences(tables.assumptions))}</p>")
    if answer is not None:
        where = f"{safe(answer.subject)}, {day_text(answer.day)}, {safe(answer.aperture.words)}"
        where += f", {safe(zone_words(answer))}"
        parts.append("<h2>" + say("Clock to seconds: {where}", where=where) + "</h2>")
        rows = [
            [
                clock_text(row.at, answer.zone),
                sun_text(row),
                *(range_text(one) for one in row.seconds),
            ]
            for row in answer.rows
        ]
        parts.append(table_html([say("clock"), say("sun"), *SKIES], rows))
        if any(row.sun_in_doubt for row in answer.rows):
            parts.append(f"<p>?: {say(IN_DOUBT)}.</p>")
        if answer.face:
            parts.append(
                "<p>"
                + say(
                    "The sun at {at}: {face}.",
                    at=clock_text(answer.at, answer.zone),
                    face=safe(answer.face),
                )
                + "</p>"
            )
        parts.append(f"<p>{safe('; '.join(answer.assumptions))}. {' '.join(answer.cautions)}</p>")
    return page_html(say("Seconds: {batch}", batch=tables.batch.name), parts, paper)
