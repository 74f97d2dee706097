"""The field card: ruled blanks in a fixed order, to be filled in within a minute on the spot.

As plain text for a terminal or a notebook page, and as one self-contained HTML sheet that
prints four A6 cards on A4 (or four quarters of Letter), with neither script nor request.
"""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from html import escape


@dataclass(frozen=True, slots=True)
class Blank:
    """One thing to write down: its name, lines to write on and words to ring."""

    name: str
    parts: tuple[str, ...] = ("",)  # what stands before each line
    ring: tuple[str, ...] = ()  # words, one of which is ringed


# the order in which one meets them: where, which way, how far, how large, what of the day, what
BLANKS: tuple[Blank, ...] = (
    Blank("time"),
    Blank("waypoint no."),
    Blank("sky", (), ("open", "trees", "walls", "memory")),
    Blank("side of the line", ("left / right of",), ("bank", "path")),
    Blank("bearing camera → subject", ("",), ("M", "T")),
    Blank("distance", ("",), ("taped", "paced")),
    Blank("angle to", ("top", "foot")),
    Blank("bearing of edge", ("left", "right")),
    Blank("back to, far off", ("1", "2")),
    Blank("left the path at"),
    Blank("last sure feature"),
    Blank("lit or not", (), ("lit", "not lit")),
    Blank("wind"),
    Blank("water, snow", ("water", "snow")),
    Blank("three words"),
    Blank("photo no.", ("facing it", "looking back")),
    # then what can be thought over on the way back
    Blank("subject's name"),
    Blank("its facing", ("",), ("M", "T")),
    Blank("light wanted", ("",), ("left", "right", "front", "back")),
    Blank("blocked by"),
    Blank("next time"),
)

EXAMPLE = "14:32 seen winding house, 215M 8m, top 38 foot -6, left of the leat"
_SHEET_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
_TEXT_WIDTH = 66


def card_text() -> str:
    """The card as plain text, blanks to be filled in."""
    lines = ["FIELD CARD" + "day ".rjust(_TEXT_WIDTH - 22, " ") + "_" * 12]
    widest = max(len(blank.name) for blank in BLANKS)
    for blank in BLANKS:
        head = f"{blank.name:<{widest}}  "
        ring = "  ".join(f"( ) {word}" for word in blank.ring)
        room = _TEXT_WIDTH - len(head) - (len(ring) + 2 if ring and blank.parts else len(ring))
        parts = ""
        if blank.parts:
            each = (room - 2 * (len(blank.parts) - 1)) // len(blank.parts)
            parts = "  ".join(_ruled(part, each) for part in blank.parts)
        lines.append((head + parts + ("  " if parts and ring else "") + ring).rstrip())
    lines += ["", "Typed later, one line each, for 'backbearing import':", f"  {EXAMPLE}"]
    return "\n".join(lines)


def _ruled(before: str, width: int) -> str:
    head = f"{before} " if before else ""
    return head + "_" * max(width - len(head), 4)


_STYLE = """
@page { size: %(paper)s; margin: 0 }
* { box-sizing: border-box; margin: 0; padding: 0 }
html { background: #fff; color: #000; font: 7.4pt/1.1 "Liberation Sans", Arial, sans-serif }
.sheet { width: %(width).1fmm; height: %(height).1fmm; position: relative; overflow: hidden;
  display: grid; grid-template: 1fr 1fr / 1fr 1fr }
.sheet::before, .sheet::after { content: ""; position: absolute; border: 0 dotted #777 }
.sheet::before { left: 50%%; top: 0; bottom: 0; border-left-width: .2mm }
.sheet::after { top: 50%%; left: 0; right: 0; border-top-width: .2mm }
.card { padding: 7mm 8mm 6mm; display: flex; flex-direction: column }
header { display: flex; align-items: flex-end; gap: 1.5mm; margin-bottom: 1mm }
header b { flex: 1; font-size: 8pt; letter-spacing: .12em }
ol { list-style: none; flex: 1; display: flex; flex-direction: column }
li { flex: 1; display: flex; align-items: flex-end; gap: 1.5mm }
.name { flex: 0 0 31mm; font-weight: bold; white-space: nowrap }
.line { flex: 1; border-bottom: .25mm solid #000; min-width: 5mm; height: 100%% }
.ring { padding: 0 .6mm }
.ring + .ring::before { content: "/"; padding-right: 2.1mm; color: #777 }
footer { margin-top: 2.2mm; font-size: 6.2pt; color: #333 }
@media screen { body { padding: 4mm; background: #ddd } .sheet { background: #fff } }
"""


def card_html(paper: str = "A4") -> str:
    """One sheet of four cards as a self-contained HTML page. paper: 'A4' or 'Letter'."""
    width, height = _SHEET_MM[paper.lower()]
    style = _STYLE % {"paper": paper.capitalize(), "width": width, "height": height}
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'"
    cards = "\n".join([_card()] * 4)
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>Field cards</title>\n<style>{style}</style>\n</head>\n"
        f'<body>\n<main class="sheet">\n{cards}\n</main>\n</body>\n</html>\n'
    )


def _card() -> str:
    rows = "\n".join(f"<li>{_row(blank)}</li>" for blank in BLANKS)
    return (
        '<section class="card"><header><b>FIELD CARD</b>day<span class="line"></span></header>\n'
        f"<ol>\n{rows}\n</ol>\n<footer>ring what holds · later, one line each: "
        f"{escape(EXAMPLE)}</footer></section>"
    )


def _row(blank: Blank) -> str:
    parts = "".join(
        (f"<span>{escape(part)}</span>" if part else "") + '<span class="line"></span>'
        for part in blank.parts
    )
    ring = "".join(f'<span class="ring">{escape(word)}</span>' for word in blank.ring)
    return f'<span class="name">{escape(blank.name)}</span>{parts}{ring}'
