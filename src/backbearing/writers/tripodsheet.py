"""The look of the sheets used at the tripod, and the page they stand on: one style for all.

Black on white, readable in grey; HTML with neither script nor request.
"""

from __future__ import annotations

import base64
import hashlib
from html import escape
from typing import TYPE_CHECKING

from backbearing.saying import say
from backbearing.writers.apart import apart

if TYPE_CHECKING:
    from collections.abc import Iterable

_STYLE = """
@page { size: %s; margin: 10mm 14mm }
* { margin: 0; padding: 0; box-sizing: border-box }
html { background: #fff; color: #000; font: 9pt/1.2 "Liberation Sans", Arial, sans-serif;
  font-variant-numeric: tabular-nums }
h1 { font-size: 13pt; border-top: 1.3mm solid #000; padding-top: 1.5mm; margin-bottom: 1mm }
h2 { font-size: 11pt; margin: 4mm 0 1mm }
table { border-collapse: collapse; width: 100%% }
th, td { text-align: right; padding: .5mm 2mm; border-bottom: .2mm solid #888; white-space: nowrap }
th { border-bottom: .4mm solid #000; font-size: 8.5pt; white-space: normal }
tr { break-inside: avoid }
tr:nth-child(3n) td { border-bottom: .4mm solid #000 }
td:first-child, th:first-child { font-weight: 700 }
.words { text-align: left; white-space: normal; min-width: 44mm }
.roomy td { padding: 1mm 1.5mm } .roomy td:first-child { font-size: 11pt }
p { font-size: 7.5pt; margin-top: 2mm }
body { overflow-wrap: break-word }
@media screen { body { margin: 14mm auto; max-width: 182mm } }
"""


def safe(text: str) -> str:
    """Text as it may stand in the page."""
    return escape(apart(text))


def sentences(parts: Iterable[str]) -> str:
    """Remarks as sentences, one after the other."""
    return " ".join(f"{one[:1].upper()}{one[1:]}." for one in parts)


def table_html(
    head: list[str], rows: list[list[str]], *, words: int | None = None, roomy: bool = False
) -> str:
    """A table. words: the column of sentences; all others hold figures. roomy: of few rows."""

    def cell(tag: str, text: str, column: int) -> str:
        shown = ' class="words"' if column == words else ""
        scope = ' scope="col"' if tag == "th" else ""
        return f"<{tag}{scope}{shown}>{safe(text)}</{tag}>"

    top = "".join(cell("th", text, i) for i, text in enumerate(head))
    body = "\n".join(
        "<tr>" + "".join(cell("td", text, i) for i, text in enumerate(row)) + "</tr>"
        for row in rows
    )
    kind = ' class="roomy"' if roomy else ""
    return f"<table{kind}><thead><tr>{top}</tr></thead>\n<tbody>\n{body}\n</tbody></table>"


def page_html(title: str, parts: list[str], paper: str) -> str:
    """A whole page. title: plain text; parts: HTML. paper: A4 or Letter."""
    style = _STYLE % paper.capitalize()
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = say("default-src 'none'; style-src 'sha256-{digest}'", digest=digest)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{safe(title)}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>\n"
        + "\n".join(parts)
        + "\n</main>\n</body>\n</html>\n"
    )
