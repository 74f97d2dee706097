"""Distance → mark as one sheet to print and keep in the camera case."""

from __future__ import annotations

import base64
import hashlib
from html import escape
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.writers.frame import exact_words, sharp_words
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from backbearing.plans.focus import FocusTable

_STYLE = """
@page { margin: 12mm }
html { background: #fff; color: #12191c;
  font: 10pt/1.3 system-ui, "Segoe UI", Roboto, "DejaVu Sans", sans-serif;
  font-variant-numeric: tabular-nums }
body { margin: 5mm; max-width: 190mm }
h1 { font-size: 13pt; margin: 0; border-top: 1.3mm solid #12191c; padding-top: 2mm }
p { margin: 1mm 0 3mm; color: #414e54; font-size: 9pt }
table { border-collapse: collapse; width: 100% }
th, td { text-align: left; padding: 1.1mm 2mm 1.1mm 0; border-bottom: .2mm solid #7d8a8f }
th { font-size: 8.5pt; border-bottom-width: .5mm }
td { white-space: nowrap }
td:nth-child(3) { white-space: normal }
td:first-child { font-weight: 700; font-size: 12pt }
tr { break-inside: avoid }
"""


def focus_html(answer: FocusTable) -> str:
    """The table as a self-contained HTML page, with neither script nor request."""
    digest = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()
    heads = ["distance", "covers m", "set", *(f"sharp at {a}" for a in answer.apertures), "good to"]
    rows = [
        [
            metres_text(row.distance_m),
            f"{row.wide_m:.2f} × {row.high_m:.2f}",
            row.set_at,
            *(sharp_words(depth) for depth in row.chosen.depths),
            exact_words(row.too_near_m, row.too_far_m),
        ]
        for row in answer.rows
    ]
    notes = " · ".join(
        [
            f"image {answer.wide_mm:g} × {answer.high_mm:g} mm",
            f"circle of confusion {answer.blur_mm:.3f} mm ({answer.blur_basis})",
            "good to: how far the true distance may lie from that set, at the first aperture",
            "*: the distance itself is not sharp then",
            *answer.remarks,
        ]
    )
    body = "\n".join(
        "<tr>" + "".join(f"<td>{escape(clean(cell))}</td>" for cell in row) + "</tr>"
        for row in rows
    )
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        f"style-src 'sha256-{digest}'\">\n"
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>Distance to mark</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<h1>{escape(clean(f'Distance → mark: {answer.lens} on {answer.camera}'))}</h1>\n"
        f"<p>{escape(clean(notes))}</p>\n<table>\n<thead><tr>"
        + "".join(f'<th scope="col">{escape(clean(head))}</th>' for head in heads)
        + f"</tr></thead>\n<tbody>\n{body}\n</tbody>\n</table>\n</body>\n</html>\n"
    )
