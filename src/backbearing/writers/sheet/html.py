"""The sheet as HTML laid out for paper: A4 or Letter, black on white, without script or request."""

from __future__ import annotations

import base64
import hashlib
from html import escape
from typing import TYPE_CHECKING, Literal

from backbearing.places.words import degrees_text, metres_text
from backbearing.places.zones import clock_name
from backbearing.writers.expose import range_text, table_cells
from backbearing.writers.frame import sharp_words
from backbearing.writers.framedrawing import frame_svg
from backbearing.writers.outing import (
    deadlines_text,
    does_not_work_text,
    ground_cautions,
    hangs_text,
    near_text,
    six_times,
    sun_text,
)
from backbearing.writers.sheet.map import sheet_map
from backbearing.writers.skylinestrip import ON_PAPER, skyline_svg, strip_words
from backbearing.writers.text import clean
from backbearing.writers.words import clock_on, day_text, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from backbearing.plans.taking import RouteRow, SheetAnswer

Paper = Literal["A4", "Letter"]
MARKS_AT_M = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 30.0)  # of the usual distances, on paper
MOST_ON_ONE_PAGE = 12  # legs out and back, with which the map gives way to keep the skyline by it
_TALL: dict[Paper, str] = {"A4": "277mm", "Letter": "260mm"}  # between the margins
SHOWN_EVS = {str(ev) for ev in range(2, 16)}  # beyond them nobody takes a plate outdoors
_STYLE = """
@page { size: %(paper)s; margin: 9mm 11mm }
* { margin: 0; padding: 0; box-sizing: border-box }
html { background: #fff; color: #000; font: 9pt/1.22 "Liberation Sans", Arial, sans-serif;
  font-variant-numeric: tabular-nums }
body { max-width: 188mm; margin: 0 auto }
h1 { font-size: 15pt; border-top: 1.4mm solid #000; padding-top: 1.5mm }
h2 { font-size: 10pt; margin: 3mm 0 .8mm; border-top: .5mm solid #000; padding-top: .6mm }
.six { display: flex; gap: 3mm; margin: 2mm 0 }
.six div { flex: 1; border-left: .5mm solid #000; padding-left: 1.5mm }
.six b { display: block; font-size: 18pt; line-height: 1.05 }
.six span { font-size: 8pt }
.warn { border-left: 1.6mm solid #000; padding-left: 2mm; margin: 1.5mm 0; font-weight: 700 }
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
.plate img { max-height: 74mm; margin: 0 auto } .marks td { white-space: nowrap }
.small { font-size: 7pt; line-height: 1.15 } .page2 { break-before: page }
.blank td { height: 6.5mm }
@media screen { body { padding: 8mm } }
"""


def sheet_html(answer: SheetAnswer, *, paper: Paper = "A4") -> str:
    """The sheet: six times and the route card first, then what is used at the tripod."""
    outing = answer.outing
    parts = [
        f'<div class="{"page1" if len(answer.route) <= MOST_ON_ONE_PAGE else ""}">',
        f"<h1>{_safe(outing.subject)}, {day_text(outing.day)}</h1>",
        *_top(answer),
        *_route(answer),
        *_map(answer),
        *_skyline(answer),
        "</div>",
        '<h2 class="page2">At the tripod</h2>',
        '<div class="two"><div>',
        *_seconds(answer),
        "</div><div>",
        *_frame(answer),
        "</div></div>",
        *_marks(answer),
        *_near(answer),
        *_packing(answer),
        *_blanks(),
        *_rests(answer),
    ]
    return _document(f"{outing.subject}, {outing.day}", "\n".join(parts), paper)


def times_html(answer: SheetAnswer) -> str:
    """One A5 panel with the six clock times, to be read at arm's length in the cold."""
    outing = answer.outing
    rows = "".join(
        f"<tr><th>{_safe(what)}</th><td>{_safe(clock)}</td></tr>"
        f'<tr class="remark"><td colspan="2">{_safe(remark)}</td></tr>'
        for what, clock, remark in six_times(outing)
    )
    style = _STYLE % {"paper": "A5", "tall": "auto"} + (
        ".big th{font-size:20pt;border:0;padding-top:4.6mm;vertical-align:bottom}"
        ".big td{font-size:46pt;font-weight:700;"
        "border:0;text-align:right;line-height:1;padding-top:4.6mm}"
        ".big .remark td{font-size:10pt;font-weight:400;text-align:left;line-height:1.2;"
        "border-bottom:.3mm solid #000;padding:.5mm 0 1.5mm}"
    )
    body = (
        f"<h1>{_safe(outing.subject)}, {day_text(outing.day)}</h1>\n"
        f'<table class="big">{rows}</table>\n{"".join(_warnings(answer))}'
    )
    return _wrapped(f"{outing.subject}, {outing.day}: times", body, style)


# ---------------------------------------------------------------- parts


def _top(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield (
        '<div class="six">'
        + "".join(
            f"<div{' class=light' if what == 'light' else ''}><span>{_safe(what)}</span>"
            f"<b>{_safe(clock)}</b><span>{_safe(remark)}</span></div>"
            for what, clock, remark in six_times(outing)
        )
        + "</div>"
    )
    yield from _warnings(answer)
    if outing.blocked or outing.next_time:
        said = []
        if outing.blocked:
            said.append(f"<b>Blocked last time:</b> {_safe(outing.blocked)}")
        if outing.next_time:
            said.append(f"<b>Next time:</b> {_safe(outing.next_time)}")
        yield f"<p>{' · '.join(said)}</p>"
    yield (
        f'<p class="small">{_safe(outing.window.why)} Clock of {_safe(clock_name(outing.zone))}; '
        f"deadlines at the slow pace, {duration_text(outing.budget.margin_s)} in hand before each "
        "limit.</p>"
    )


def _warnings(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    if not outing.works:
        yield f'<p class="warn">{_safe(does_not_work_text(outing))}</p>'
    if hangs := hangs_text(outing):
        yield f'<p class="warn">The day hangs on {_safe(hangs)}.</p>'
    if outing.window.doubtful:
        yield (
            '<p class="warn">Doubtful light: the window is shorter than twice its ±; it may not be '
            "there at all.</p>"
        )


def _route(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield f"<h2>Route card, from {_safe(outing.start_name)}</h2>"
    zone = _grid_zone(answer)
    head = [
        *(
            "leg",
            "to",
            f"grid {zone}".strip(),
            "true",
            "mag.",
            "m",
            "up",
            "min",
            "slow",
            "handrail",
        ),
        *("attack point", "catches you", "escape", "pass by", "turn back"),
    ]
    out = [row for row in answer.route if row.out]
    rows = [
        [*_leg_cells(answer, row), *deadlines_text(answer.outing, one)]
        for row, one in zip(out, answer.outing.out, strict=True)
    ]
    yield _table(head, rows, late=(13, 14))
    back = [row for row in answer.route if not row.out]
    if back:
        yield "<p><b>Back</b></p>"
        head = [*head[:13], "light until", "steepest ground"]
        rows = [
            [
                *_leg_cells(answer, row),
                "" if row.usable_until is None else _clock(answer, row.usable_until),
                sun_text(one.sun, outing.zone, outing.day),
            ]
            for row, one in zip(back, outing.back, strict=True)
        ]
        yield _table(head, rows, late=(13,))


def _leg_cells(answer: SheetAnswer, row: RouteRow) -> list[str]:
    magnetic = row.bearing_magnetic_deg
    return [
        f"{row.number}{' rough' if row.rough else ''}",
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


def _grid_zone(answer: SheetAnswer) -> str:
    """The grid zone of all references on the card, '' where they have no one in common."""
    zones = {row.grid.split()[0] for row in answer.route}
    return zones.pop() if len(zones) == 1 else ""


def _map(answer: SheetAnswer) -> Iterator[str]:
    drawn = _picture(sheet_map(answer), "The way to the subject")
    yield f'<section class="map"><h2>Map, grid as on the route card</h2>{drawn}</section>'


def _skyline(answer: SheetAnswer) -> Iterator[str]:
    drawn = _picture(
        skyline_svg(answer.skyline, ON_PAPER), "Skyline strip with the sun's way of the day"
    )
    yield (
        f'<section class="strip"><h2>Skyline</h2>{drawn}'
        f'<p class="small">{_safe(strip_words(answer.skyline))}</p></section>'
    )


def _seconds(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    if outing.exposure is not None:
        yield (
            f"<p><b>{_safe(outing.batch)} at f/{outing.f_number:.3g}: "
            f"{_safe(range_text(outing.exposure))}</b> at the best minute, "
            f"{_safe(outing.window.sky)} sky.</p>"
        )
    if answer.tables is None:
        yield f"<p>No seconds: {_safe(answer.why_no_tables)}.</p>"
    else:
        head, rows = table_cells(answer.tables)
        yield (
            f"<p><b>Meter to seconds</b>, {_safe(answer.tables.batch.name)}, ISO "
            f"{answer.tables.batch.speed_iso:g}, for {_safe(answer.tables.light)}, with "
            "reciprocity; incident readings</p>"
        )
        shown = [row for row in rows if row[0] in SHOWN_EVS]
        yield _table(head, shown, kind="meter")


def _marks(answer: SheetAnswer) -> Iterator[str]:
    focus = answer.focus
    if focus is not None:
        yield (
            f"<p><b>Distance to mark</b>, {_safe(focus.lens)} on {_safe(focus.camera)}, distances "
            "from the lens</p>"
        )
        head = ["distance", "covers m", "set", *(f"sharp, {a}" for a in focus.apertures)]
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
        yield _table(head, rows, kind="marks")


def _frame(answer: SheetAnswer) -> Iterator[str]:
    yield "<h2>Frame</h2>"
    if answer.frame is None:
        yield f"<p>Not known: {_safe(answer.why_no_frame)}.</p>"
        return
    drawn = _picture(frame_svg(answer.frame), "The plate with the subject")
    yield f'<div class="plate">{drawn}</div>'


def _near(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield "<h2>Others near, with light before the limit</h2>"
    if not outing.near:
        yield "<p>None on record that day.</p>"
        return
    head = ["subject", "bearing", "away", "on foot", "light there", "± min", "seconds", "when"]
    rows = [
        [
            one.subject,
            near_text(one),
            metres_text(one.distance_m),
            duration_text(one.usual_s),
            f"{_clock(answer, one.begin)}–{_clock(answer, one.end)}",
            f"{one.window.plus_minus_min:.0f}",
            "" if one.exposure is None else range_text(one.exposure),
            "after it" if one.after else "instead",
        ]
        for one in outing.near
    ]
    yield _table(head, rows)


def _packing(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield "<h2>Pack</h2>"
    loaded = ", ".join(outing.loaded) if outing.loaded else "none on record"
    yield (
        f"<p>Loaded: {_safe(loaded)}. Plates planned: {outing.budget.plates}. ☐ camera ☐ lens "
        "☐ holders ☐ tripod ☐ dark cloth ☐ meter ☐ cable, cap ☐ compass ☐ clinometer ☐ this sheet "
        "☐ light for the way back ☐ warm layer ☐ food, water ☐ first aid ☐ telephone, charged</p>"
    )


def _blanks() -> Iterator[str]:
    yield "<h2>Made</h2>"
    head = ["time", "holder", "seconds", "aperture", "mark", "lit / not", "water, snow", "remark"]
    yield _table(head, [[""] * len(head)] * 3, kind="blank")


def _rests(answer: SheetAnswer) -> Iterator[str]:
    outing = answer.outing
    yield f'<p class="small">Rests on: {_safe("; ".join(outing.rests_on))}.</p>'
    yield f'<p class="small">{_safe(" ".join([*outing.cautions, *ground_cautions(outing)]))}</p>'


# ---------------------------------------------------------------- html


def _clock(answer: SheetAnswer, at: datetime) -> str:
    return clock_on(at, answer.outing.zone, answer.outing.day)


def _safe(text: str) -> str:
    return escape(clean(text))


def _picture(svg: str, words: str) -> str:
    data = base64.b64encode(svg.encode()).decode()
    return f'<img alt="{_safe(words)}" src="data:image/svg+xml;base64,{data}">'


def _table(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    kind: str = "",
    late: Sequence[int] = (),
) -> str:
    top = "".join(f'<th scope="col">{_safe(cell)}</th>' for cell in head)
    body = "\n".join(
        "<tr>"
        + "".join(
            f'<td class="late">{_safe(cell)}</td>'
            if i in late
            else f"<td{' class=grid' if i == 2 and late else ''}>{_safe(cell)}</td>"
            for i, cell in enumerate(row)
        )
        + "</tr>"
        for row in rows
    )
    named = f' class="{kind}"' if kind else ""
    return f"<table{named}><thead><tr>{top}</tr></thead>\n<tbody>\n{body}\n</tbody></table>"


def _document(title: str, body: str, paper: Paper) -> str:
    return _wrapped(title, body, _STYLE % {"paper": paper, "tall": _TALL[paper]})


def _wrapped(title: str, body: str, style: str) -> str:
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; img-src data:; style-src 'sha256-{digest}'"
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{_safe(title)}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>\n"
        f"{body}\n</main>\n</body>\n</html>\n"
    )
