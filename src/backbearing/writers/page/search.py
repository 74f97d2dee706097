"""The panel of a search: what to look through next, drawn by how likely each piece of ground is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree import ElementTree

import numpy as np

from backbearing.places.coordinates import decimal_text
from backbearing.plans.searchlines import FOR_SUBJECTS, walk_lines
from backbearing.saying import say
from backbearing.writers.apart import apart
from backbearing.writers.page.clues import clue_drawn, draw_crossing
from backbearing.writers.page.plane import Sheet, Spot, sheet_over
from backbearing.writers.page.searchwalk import WalkWords, draw_walk, walk_words
from backbearing.writers.page.svg import put
from backbearing.writers.search import look_said
from backbearing.writers.words import chance_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from markupsafe import Markup
    from numpy.typing import NDArray

    from backbearing.plans.page import ReturnPage
    from backbearing.plans.search import Likely
    from backbearing.plans.search.ground import SearchGround
    from backbearing.plans.search.walkanswer import SearchWalkAnswer
    from backbearing.records import Floats

_WIDE, _HIGH = 360.0, 270.0  # a phone shows them nearly at this size
_BLOCKS = 64  # of a grid each way, drawn at most
_CLUE_BLOCKS = 24  # in the drawing of a clue
_LOOKED_FROM = 0.2  # chance I would have seen it, from which ground counts as looked at
_LEVELS = ("half", "nine", "rest")


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchWords:
    """One search in words and as a drawing."""

    subject: str
    answer: str
    rest: str
    drawing: Markup
    stretches: tuple[tuple[str, str, str, str, str], ...]
    clues: tuple[tuple[str, str, Markup], ...]  # words, how sure, where it fits
    crossed: bool  # whether bearings cross on the drawing
    looks: tuple[str, ...]
    remarks: tuple[str, ...]
    rests_on: str
    caution: str
    walk: WalkWords | None  # None where no next walk is planned
    walk_drawing: Markup


def search_words(page: ReturnPage) -> tuple[SearchWords, ...]:
    """A panel for each subject that is looked for."""
    from markupsafe import Markup

    found = []
    for each in page.searches:
        sentence = each.answer
        sides = say("Left and right of {sides}. ", sides=each.sides) if each.sides else ""
        walk = next((w for w in page.search_walks if w.subject == each.subject.name), None)
        give_up = say("; likelier than here by now: think it over first") if each.give_it_up else ""
        found.append(
            SearchWords(
                subject=each.subject.name,
                answer=f"{each.subject.name}: {sentence}",
                rest=(
                    say(
                        "{sides}Elsewhere {elsewhere}, gone {gone}{give_up}. All of it "
                        "takes {minutes:.1f} h to look through once.",
                        sides=sides,
                        elsewhere=chance_text(each.elsewhere),
                        gone=chance_text(each.gone),
                        give_up=give_up,
                        minutes=each.minutes / 60,
                    )
                ),
                drawing=Markup(drawn(each)),  # noqa: S704  built by ElementTree, escaped
                stretches=tuple(
                    (
                        one.words,
                        chance_text(one.share),
                        f"{one.minutes:.0f} min",
                        say("not yet looked at")
                        if one.seen_chance < _LOOKED_FROM / 10
                        else chance_text(one.seen_chance),
                        decimal_text(one.latitude_deg, one.longitude_deg),
                    )
                    for one in each.stretches
                ),
                clues=tuple(
                    (one.words, say("{sure} sure", sure=chance_text(one.sure)), Markup(drawing))  # noqa: S704
                    for one, drawing in zip(each.clues, clues_drawn(each), strict=True)
                ),
                crossed=each.crossing is not None,
                looks=tuple(look_said(one) for one in each.looks),
                remarks=(
                    *([] if each.crossing is None else [each.crossing.words]),
                    *(
                        say("'{one}' and '{other}' hardly fit together", one=one, other=other)
                        for one, other in each.at_odds
                    ),
                    *((each.missing,) if each.missing else ()),
                    *each.remarks,
                ),
                rests_on="; ".join(each.rests_on),
                caution=say(FOR_SUBJECTS),
                walk=None if walk is None else walk_words(walk),
                walk_drawing=Markup("" if walk is None else walk_drawn(each, walk)),  # noqa: S704
            )
        )
    return tuple(found)


def drawn(search: Likely) -> str:
    """The ground in three tones: where half of the chance lies, nine tenths, and the rest; what
    was looked at is dotted."""
    svg, sheet = begun(search, say("Where {subject} most likely is", subject=search.subject.name))
    if search.crossing is not None:
        draw_crossing(svg, sheet, search.crossing)
    for number, one in enumerate(search.stretches, start=1):
        x, y = sheet.at((one.latitude_deg, one.longitude_deg))
        put(svg, "circle", "camera", cx=x, cy=y, r=9)
        put(svg, "text", "name", str(number), x=x, y=y + 5, text_anchor="middle")
    return finished(svg, sheet)


def clues_drawn(search: Likely) -> list[str]:
    """Where each clue fits, as one small drawing a clue."""
    outlines, pieces = _outlines(search)
    sheet = _sheet(search, outlines)
    paths = [_path(shape, search.ground, sheet) for shape in outlines]
    drawings = []
    for clue in search.clues:
        fits = [float(clue.fits[own].mean()) for own in pieces]
        drawings.append(clue_drawn(search, clue, sheet, paths.__getitem__, fits))
    return drawings


def _sheet(
    search: Likely, shapes: list[list[tuple[float, float]]], around: Sequence[Spot] = ()
) -> Sheet:
    corners = np.concatenate([np.array(shape) for shape in shapes]) if shapes else np.zeros((1, 2))
    latitude, longitude = search.ground.plane.places(corners[:, 0], corners[:, 1])
    spots = [*zip(latitude.tolist(), longitude.tolist(), strict=True), *around]
    return sheet_over(spots, width=_WIDE, height=_HIGH, margin=16.0, least_m=100.0)


def _outlines(
    search: Likely,
) -> tuple[list[list[tuple[float, float]]], list[NDArray[np.int64]]]:
    """The ground in outlines, a few hundred at most, and the pieces in each."""
    ground = search.ground
    if ground.kind == "line":
        many = len(ground.x_m)
        return [_strip(ground, i) for i in range(many)], [np.array([i]) for i in range(many)]
    step = max(1, -(-max(ground.rows, ground.columns) // _CLUE_BLOCKS))
    size = ground.cell_m * step
    left = float(ground.x_m.min()) - ground.cell_m / 2.0
    top = float(ground.y_m.max()) + ground.cell_m / 2.0
    numbers = np.arange(ground.rows * ground.columns).reshape(ground.rows, ground.columns)
    outlines, pieces = [], []
    for row in range(0, ground.rows, step):
        for column in range(0, ground.columns, step):
            own = numbers[row : row + step, column : column + step].ravel()
            own = own[ground.size_m2[own] > 1e-3]  # not beyond the rim
            if len(own):
                x, y = left + column / step * size, top - row / step * size
                outlines.append([(x, y), (x + size, y), (x + size, y - size), (x, y - size)])
                pieces.append(own)
    return outlines, pieces


def walk_drawn(search: Likely, walk: SearchWalkAnswer) -> str:
    """The next walk over the same ground: its way, its stops by number, its start."""
    lines = walk_lines(walk)
    title = say("The next walk that looks for {subject}", subject=search.subject.name)
    svg, sheet = begun(search, title, [spot for line in lines for spot in line])
    draw_walk(svg, sheet, walk)
    return finished(svg, sheet)


def begun(
    search: Likely, title: str, around: Sequence[Spot] = ()
) -> tuple[ElementTree.Element, Sheet]:
    """The ground of a search in its tones, on a sheet that holds these spots too."""
    shapes, level, looked = _shapes(search)
    sheet = _sheet(search, shapes, around)
    svg = ElementTree.Element(
        "svg",
        {
            "class": "chart likely",
            "viewBox": f"0 0 {_WIDE:.0f} {_HIGH:.0f}",
            "role": "img",
            "aria-label": apart(title),
        },
    )
    put(svg, "rect", "ground", width=_WIDE, height=_HIGH)
    for kind in reversed(_LEVELS):
        at = [shape for shape, its in zip(shapes, level, strict=True) if its == kind]
        parts = [_path(shape, search.ground, sheet) for shape in at]
        if parts:
            put(svg, "path", f"share {kind}", d="".join(parts))
    parts = [_path(s, search.ground, sheet) for s, seen in zip(shapes, looked, strict=True) if seen]
    if parts:
        put(svg, "path", "looked", d="".join(parts))
    if search.ground.line is not None:
        line = search.ground.line
        points = [
            sheet.at(spot)
            for spot in zip(line.latitude_deg.tolist(), line.longitude_deg.tolist(), strict=True)
        ]
        kind = "water" if line.kind in ("stream", "river", "leat", "shore") else "wall"
        put(svg, "path", kind, d="M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points))
    return svg, sheet


def finished(svg: ElementTree.Element, sheet: Sheet) -> str:
    """The drawing with its scale and north."""
    length_m = _round_length(120.0 * sheet.metres_a_unit)
    long = length_m / sheet.metres_a_unit
    put(svg, "rect", "scale", x=_WIDE - 16 - long, y=14, width=long, height=4)
    words = f"{length_m:g} m" if length_m < 1000 else f"{length_m / 1000:g} km"
    put(svg, "text", "name", words, x=_WIDE - 16, y=34, text_anchor="end")
    put(svg, "path", "north", d="M16 36V12M11.5 17.5L16 11L20.5 17.5")
    put(svg, "text", "name", "N", x=25, y=24)
    return ElementTree.tostring(svg, encoding="unicode")


def _shapes(search: Likely) -> tuple[list[list[tuple[float, float]]], list[str], list[bool]]:
    """Outlines on the plane, each with its level and whether it was looked at."""
    ground = search.ground
    if ground.kind == "line":
        level = np.where(search.half, "half", np.where(search.nine_tenths, "nine", "rest")).tolist()
        looked = (search.seen_chance >= _LOOKED_FROM).tolist()
        return [_strip(ground, i) for i in range(len(ground.x_m))], level, looked
    step = max(1, -(-max(ground.rows, ground.columns) // _BLOCKS))
    share = _blocks(search.share.reshape(ground.rows, ground.columns), step)
    weight = _blocks((search.share * search.seen_chance).reshape(ground.rows, ground.columns), step)
    order = np.argsort(-share.ravel(), kind="stable")
    reached = np.cumsum(share.ravel()[order])
    part = np.empty(share.size)
    part[order] = (reached - share.ravel()[order]) / max(reached[-1], 1e-300)
    shapes, levels, looked = [], [], []
    size = ground.cell_m * step
    left = float(ground.x_m.min()) - ground.cell_m / 2.0
    top = float(ground.y_m.max()) + ground.cell_m / 2.0
    for number in np.flatnonzero(part < 0.9).tolist():
        row, column = divmod(number, share.shape[1])
        x, y = left + column * size, top - row * size
        shapes.append([(x, y), (x + size, y), (x + size, y - size), (x, y - size)])
        levels.append("half" if part[number] < 0.5 else "nine")
        seen = weight.ravel()[number] / max(share.ravel()[number], 1e-300)
        looked.append(bool(seen >= _LOOKED_FROM))
    return shapes, levels, looked


def _blocks(values: Floats, step: int) -> Floats:
    rows, columns = (-(-n // step) * step for n in values.shape)
    padded = np.zeros((rows, columns))
    padded[: values.shape[0], : values.shape[1]] = values
    return np.asarray(padded.reshape(rows // step, step, columns // step, step).sum(axis=(1, 3)))


def _strip(ground: SearchGround, i: int) -> list[tuple[float, float]]:
    """The outline of a piece along a line: from the line out to its width."""
    assert ground.line_m is not None  # noqa: S101 - it is along a line
    assert ground.from_m is not None  # noqa: S101
    assert ground.to_m is not None  # noqa: S101
    assert ground.side is not None  # noqa: S101
    steps = np.hypot(*np.diff(ground.line_m, axis=0).T)
    way = np.concatenate([[0.0], np.cumsum(steps)])
    ends = [
        np.array([np.interp(at, way, ground.line_m[:, axis]) for axis in (0, 1)])
        for at in (ground.from_m[i], ground.to_m[i])
    ]
    ahead = ends[1] - ends[0]
    out = np.array([ahead[1], -ahead[0]]) / max(float(np.hypot(*ahead)), 1e-9)
    out = out * float(ground.side[i]) * ground.width_m
    corners = [ends[0], ends[1], ends[1] + out, ends[0] + out]
    return [(float(x), float(y)) for x, y in corners]


def _path(shape: list[tuple[float, float]], ground: SearchGround, sheet: Sheet) -> str:
    xs, ys = np.array(shape).T
    latitude, longitude = ground.plane.places(xs, ys)
    points = [sheet.at(spot) for spot in zip(latitude.tolist(), longitude.tolist(), strict=True)]
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + "z"


def _round_length(least_m: float) -> float:
    power = 10.0 ** np.floor(np.log10(least_m))
    return float(max(n * power for n in (1, 2, 5) if n * power <= least_m))
