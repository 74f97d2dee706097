"""Paper: how a page is laid out for A4, Letter or A5, black on white, without script or request."""

from __future__ import annotations

import base64
import hashlib
import re
from html import escape
from typing import TYPE_CHECKING, Literal

from backbearing.saying import spoken
from backbearing.writers.apart import apart

if TYPE_CHECKING:
    from collections.abc import Sequence

_TOO_LONG = re.compile(r"(?<=\S{12})(?=\S)")  # for a word in a column
Paper = Literal["A4", "Letter"]
_TALL: dict[Paper, str] = {"A4": "277mm", "Letter": "260mm"}  # between the margins
_STYLE = """
@page { size: %(paper)s; margin: 9mm 11mm }
* { margin: 0; padding: 0; box-sizing: border-box }
html { background: #fff; color: #000; font: 9pt/1.22 "Liberation Sans", Arial, sans-serif;
  font-variant-numeric: tabular-nums }
body { max-width: 188mm; margin: 0 auto; overflow-wrap: break-word }
h1 { font-size: 15pt; border-top: 1.4mm solid #000; padding-top: 1.5mm }
h2 { font-size: 10pt; margin: 3mm 0 .8mm; border-top: .5mm solid #000; padding-top: .6mm }
.six { display: flex; gap: 3mm; margin: 2mm 0 }
.six div { flex: 1; border-left: .5mm solid #000; padding-left: 1.5mm }
.six b { display: block; font-size: 18pt; line-height: 1.05 }
.six span { font-size: 8pt }
.warn { border-left: 1.6mm solid #000; padding-left: 2mm; margin: 1.5mm 0; font-weight: 700 }
.warn.no { font-size: 11pt; border: .8mm solid #000; padding: 1.2mm 2mm }
table { border-collapse: collapse; width: 100%% }
th, td { text-align: left; padding: .5mm 1.6mm .5mm 0; border-bottom: .2mm solid #888;
  vertical-align: top; font-size: 8pt }
th { border-bottom: .4mm solid #000; font-size: 7.5pt }
td.number, th.number { text-align: right } td.late { font-weight: 700; font-size: 10pt;
  line-height: 1 }
tr { break-inside: avoid }
img { display: block; max-width: 100%% }
section { break-inside: avoid } td.grid { white-space: nowrap }
.map img, .strip img { width: 100%% }
@media print {
  .page1 { display: flex; flex-direction: column; height: %(tall)s }
  .page1 > * { flex: none }
  .page1 .map { flex: 0 1 auto; min-height: 30mm; display: flex; flex-direction: column }
  .page1 .map img { flex: 0 1 auto; min-height: 0; object-fit: contain }
}
.two h2:first-child { margin-top: 0 }
.two { display: flex; gap: 5mm; align-items: flex-start }
.two > * { flex: 1; min-width: 0 }
.meter td, .meter th { text-align: right; font-size: 7.5pt; padding: .25mm 1.2mm }
.plate img { max-height: 44mm; margin: 1mm auto } .marks td { white-space: nowrap }
.small { font-size: 7pt; line-height: 1.15 } .page2 { break-before: page }
.blank td { height: 6.5mm }
@media screen { body { padding: 8mm } }
"""


def safe(text: str) -> str:
    """Text of whatever origin as it may stand in a page."""
    return escape(apart(text))


def picture(svg: str, words: str) -> str:
    """A drawing within the page, with words for who does not see it."""
    data = base64.b64encode(svg.encode()).decode()
    return f'<img alt="{safe(words)}" src="data:image/svg+xml;base64,{data}">'


def _breakable(text: str) -> str:
    """Text of a cell: a word too long for any column may be broken, others never are."""
    return "<wbr>".join(map(escape, _TOO_LONG.split(apart(text))))


def table(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    kind: str = "",
    late: Sequence[int] = (),
) -> str:
    """A table of cells as text. late: columns of deadlines, which stand out."""
    top = "".join(f'<th scope="col">{_breakable(cell)}</th>' for cell in head)
    body = "\n".join(
        "<tr>"
        + "".join(
            f'<td class="late">{_breakable(cell)}</td>'
            if i in late
            else f"<td{' class=grid' if i == 2 and late else ''}>{_breakable(cell)}</td>"
            for i, cell in enumerate(row)
        )
        + "</tr>"
        for row in rows
    )
    named = f' class="{kind}"' if kind else ""
    return f"<table{named}><thead><tr>{top}</tr></thead>\n<tbody>\n{body}\n</tbody></table>"


def document(title: str, body: str, paper: Paper) -> str:
    """A whole page for a paper."""
    return _wrapped(title, body, _STYLE % {"paper": paper, "tall": _TALL[paper]})


def panel(title: str, body: str, *, crowded: bool) -> str:
    """One A5 panel; crowded where more than its times must stand on it."""
    room = "2.4mm" if crowded else "4.6mm"
    style = _STYLE % {"paper": "A5", "tall": "auto"} + (
        f".big th{{font-size:20pt;border:0;padding-top:{room};vertical-align:bottom}}"
        ".big td{font-size:46pt;font-weight:700;"
        f"border:0;text-align:right;line-height:1;padding-top:{room}}}"
        ".big .remark td{font-size:10pt;font-weight:400;text-align:left;line-height:1.2;"
        "border-bottom:.3mm solid #000;padding:.5mm 0 1.5mm}"
    )
    return _wrapped(title, body, style)


def _wrapped(title: str, body: str, style: str) -> str:
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; img-src data:; style-src 'sha256-{digest}'"
    return (
        f'<!doctype html>\n<html lang="{spoken().code}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{safe(title)}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>\n"
        f"{body}\n</main>\n</body>\n</html>\n"
    )
