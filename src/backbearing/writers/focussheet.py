"""Distance → mark as one sheet to print and keep in the camera case."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.writers.frame import covers_words, exact_words, sharp_words
from backbearing.writers.tripodsheet import page_html, safe, sentences, table_html

if TYPE_CHECKING:
    from backbearing.plans.focus import FocusTable


def focus_html(answer: FocusTable, paper: str = "A4") -> str:
    """The table as a self-contained HTML page. paper: A4 or Letter."""
    heads = ["distance", "covers m", "set", *(f"sharp at {a}" for a in answer.apertures), "good to"]
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
        f"image {answer.wide_mm:g} × {answer.high_mm:g} mm",
        f"circle of confusion {answer.blur_mm:.3f} mm ({answer.blur_basis})",
        "good to: how far the true distance may lie from that set, at the first aperture",
        "*: the distance itself is not sharp then",
        *answer.remarks,
    ]
    title = f"Distance to mark: {answer.lens} on {answer.camera}"
    parts = [
        f"<h1>{safe(title)}</h1>",
        table_html(heads, rows, words=2, roomy=True),
        f"<p>{safe(sentences(notes))}</p>",
    ]
    return page_html(title, parts, paper)
