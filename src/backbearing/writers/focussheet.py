"""Distance → mark as one sheet to print and keep in the camera case."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.saying import say
from backbearing.writers.frame import covers_words, exact_words, sharp_words
from backbearing.writers.tripodsheet import page_html, safe, sentences, table_html

if TYPE_CHECKING:
    from backbearing.plans.focus import FocusTable


def focus_html(answer: FocusTable, paper: str = "A4") -> str:
    """The table as a self-contained HTML page. paper: A4 or Letter."""
    heads = [
        say("distance"),
        say("covers m"),
        say("set"),
        *(say("sharp at {aperture}", aperture=a) for a in answer.apertures),
        say("good to"),
    ]
    rows = [
        [
            metres_text(row.distance_m),
            covers_words(row.wide_m, row.high_m),
            row.set_at,
            *(sharp_words(depth) for depth in row.chosen.depths),
            exact_words(row.too_near_m, row.too_far_m),
        ]
        for row in answer.rows
    ]
    notes = [
        say("image {wide_mm:g} × {high_mm:g} mm", wide_mm=answer.wide_mm, high_mm=answer.high_mm),
        say(
            "circle of confusion {blur_mm:.3f} mm ({blur_basis})",
            blur_mm=answer.blur_mm,
            blur_basis=answer.blur_basis,
        ),
        say("good to: how far the true distance may lie from that set, at the first aperture"),
        say("*: the distance itself is not sharp then"),
        *answer.remarks,
    ]
    title = say("Distance to mark: {lens} on {camera}", lens=answer.lens, camera=answer.camera)
    parts = [
        f"<h1>{safe(title)}</h1>",
        table_html(heads, rows, words=2, roomy=True),
        f"<p>{safe(sentences(notes))}</p>",
    ]
    return page_html(title, parts, paper)
