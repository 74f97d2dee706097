"""The tripod table as one sheet to print: HTML without script or request, in black on white."""

from __future__ import annotations

import base64
import hashlib
from html import escape
from typing import TYPE_CHECKING

from backbearing.places.zones import clock_text
from backbearing.writers.expose import SKIES, range_text, table_cells
from backbearing.writers.text import clean
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from backbearing.plans.expose import ExposeAnswer, TripodTables

_STYLE = """
@page { size: %s; margin: 10mm 14mm }
* { margin: 0; padding: 0 }
html { background: #fff; color: #000; font: 9pt/1.2 "Liberation Sans", Arial, sans-serif }
h1 { font-size: 13pt } h2 { font-size: 11pt; margin: 4mm 0 1mm }
table { border-collapse: collapse; width: 100%% }
th, td { text-align: right; padding: .5mm 2mm; border-bottom: .2mm solid #999 }
th { border-bottom: .4mm solid #000 } tr { break-inside: avoid }
tr:nth-child(3n) td { border-bottom: .4mm solid #000 }
td:first-child, th:first-child { font-weight: bold }
p { font-size: 7.5pt; margin-top: 2mm }
@media screen { body { margin: 14mm auto; max-width: 182mm } }
"""


def sheet_html(tables: TripodTables, answer: ExposeAnswer | None, paper: str = "A4") -> str:
    """Meter → seconds, and clock → seconds where an answer is given. paper: A4 or Letter."""
    style = _STYLE % paper.capitalize()
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'"
    batch = _safe(tables.batch.name)
    parts = [f"<h1>{batch}, ISO {tables.batch.speed_iso:g}</h1>", "<h2>Meter to seconds</h2>"]
    parts.append(_table(*table_cells(tables)))
    parts.append(f"<p>{_safe('. '.join(tables.assumptions))}.</p>")
    if answer is not None:
        where = f"{_safe(answer.subject)}, {day_text(answer.day)}, f/{answer.f_number:.3g}"
        parts.append(f"<h2>Clock to seconds: {where}</h2>")
        rows = [
            [clock_text(row.at, answer.zone), *(range_text(one) for one in row.seconds)]
            for row in answer.rows
        ]
        parts.append(_table(["clock", *SKIES], rows))
        parts.append(f"<p>{_safe('; '.join(answer.assumptions))}. {' '.join(answer.cautions)}</p>")
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>Seconds: {batch}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>\n"
        + "\n".join(parts)
        + "\n</main>\n</body>\n</html>\n"
    )


def _safe(text: str) -> str:
    return escape(clean(text))


def _table(head: list[str], rows: list[list[str]]) -> str:
    top = "".join(f'<th scope="col">{_safe(cell)}</th>' for cell in head)
    body = "\n".join(
        "<tr>" + "".join(f"<td>{_safe(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    return f"<table><thead><tr>{top}</tr></thead>\n<tbody>\n{body}\n</tbody></table>"
