"""The skyline strip: a panorama as SVG, the ground solid, the sun's way of the chosen days over it.

Our own drawing: tone is light (pale sky, dark ground), error is hatched where it bites, the
sun's way is a hollow band while it is on the place and a broken line while it is hidden; what
blocks is written where it stands. Nothing but black, white and greys, so it prints as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

import numpy as np

from backbearing.places.words import metres_text
from backbearing.saying import say
from backbearing.writers.apart import apart
from backbearing.writers.skyline import day_words, hour_marks, seasons_sentence
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from backbearing.plans.horizon import SkylineAnswer, SunOfDay
    from backbearing.records import Floats

    _To = Callable[[float], float]  # from an angle to where it is drawn

_LEFT, _RIGHT, _BOTTOM = 44, 12, 44
_SKY, _GROUND, _INK, _SECOND, _RULE = "#f3f5f4", "#26353b", "#12191c", "#414e54", "#c5cdcf"
_WOOD = "#5c6c66"
_LONGEST_NAME, _LONGEST_BASIS = 70, 100
_POINTS = "N NNE NE ENE E ESE SE SSE S SSW SW WSW W WNW NW NNW".split()  # noqa: SIM905
_PNG_SCALE = 2  # of the drawing's own size: 2240 points across, 190 mm at 300 to the inch


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """How large a strip is drawn; the type is always 13 units, so a smaller one reads larger."""

    wide: int = 1120
    tall: int = 420
    top: int = 56  # above the sky: the title and a line on what it is made of


USUAL = Format()
ON_PAPER = Format(wide=860, tall=215, top=26)  # 188 mm across: type of 8 points
CLOSE = Format(wide=460, tall=290, top=34)  # an enlargement of a part
_ROOM_DEG, _LEAST_SPAN_DEG = 12.0, 50.0  # beside the sun's way in an enlargement


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """The part of the panorama a strip draws: degrees from an azimuth on, up to a height."""

    first_deg: float
    span_deg: float
    top_deg: float


def whole_section(answer: SkylineAnswer) -> Section:
    """All round; the half of the sky where the sun culminates stands in the middle."""
    first_deg = 0.0 if answer.place.latitude_deg >= 0.0 else 180.0
    return Section(first_deg=first_deg, span_deg=360.0, top_deg=_top_deg(answer))


def section_round(answer: SkylineAnswer, from_deg: float, to_deg: float, up_deg: float) -> Section:
    """The part that holds the sun's way from one azimuth to another, clockwise, with room round it.

    up_deg: the highest that the sun stands there.
    """
    turn = (to_deg - from_deg) % 360.0
    span = min(max(turn + 2.0 * _ROOM_DEG, _LEAST_SPAN_DEG), 180.0)
    first = (from_deg + turn / 2.0 - span / 2.0) % 360.0
    inside = (answer.skyline.azimuth_deg - first) % 360.0 <= span
    edge = float(answer.skyline.altitude_deg[inside].max(initial=0.0))
    return Section(
        first_deg=first, span_deg=span, top_deg=min(90.0, max(8.0, 1.3 * max(edge, up_deg)))
    )


def skyline_svg(answer: SkylineAnswer, size: Format = USUAL, section: Section | None = None) -> str:
    """One self-contained SVG file; the same answer gives the same bytes.

    size: with little above the sky, neither title nor line of words is written, only the key.
    section: the part to draw; None: all round.
    """
    part = section or whole_section(answer)
    first_deg, top_deg = part.first_deg, part.top_deg

    def x(azimuth_deg: float) -> float:
        turned = (azimuth_deg - first_deg) % 360.0
        return _LEFT + turned / part.span_deg * (size.wide - _LEFT - _RIGHT)

    def y(altitude_deg: float) -> float:
        return size.tall - _BOTTOM - altitude_deg / top_deg * (size.tall - size.top - _BOTTOM)

    name = clean(answer.name)
    name = name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1] + "…"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size.wide} {size.tall}" '
        f'width="{size.wide}" height="{size.tall}" role="img" font-size="13" fill="{_INK}" '
        "font-family=\"system-ui,-apple-system,'Segoe UI',Roboto,'DejaVu Sans',sans-serif\">",
        f"<title>{escape(apart(say('Skyline at {name}', name=name)))}</title>",
        '<defs><pattern id="doubt" width="5" height="5" patternUnits="userSpaceOnUse">'
        f'<path d="M0 5L5 0M0 0L5 5" stroke="{_INK}" stroke-width=".7"/></pattern>'
        '<pattern id="under" width="5" height="5" patternUnits="userSpaceOnUse">'
        f'<path d="M0 5L5 0M0 0L5 5" stroke="{_SKY}" stroke-width=".6"/></pattern>'
        '<pattern id="trees" width="6" height="7" patternUnits="userSpaceOnUse">'
        f'<rect width="6" height="7" fill="{_WOOD}"/>'
        f'<path d="M1.5 7V1M4.5 7V3" stroke="{_SKY}" stroke-width=".8"/></pattern>'
        f'<clipPath id="sky"><rect x="{_LEFT}" y="{size.top}" width="{size.wide - _LEFT - _RIGHT}" '
        f'height="{size.tall - size.top - _BOTTOM}"/></clipPath></defs>',
        f'<rect width="{size.wide}" height="{size.tall}" fill="{_SKY}"/>',
        *(_title(answer, name) if size.top >= USUAL.top else ()),
        *_axes(part, x, y, size),
        '<g clip-path="url(#sky)">',
        *_ground(answer, first_deg, x, y, size),
        *(part for day in answer.days for part in _way(day, x, y, size)),
        *_readings(answer, x, y),
        "</g>",
        *_key(answer, size),
        *_labels(answer, part, x, y, size),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _title(answer: SkylineAnswer, name: str) -> Iterator[str]:
    yield (
        f'<text x="{_LEFT}" y="20" font-weight="700" font-size="16">'
        f"{escape(apart(say('Skyline at {name}', name=name)))}</text>"
    )
    yield f'<text x="{_LEFT}" y="40" fill="{_SECOND}">{escape(strip_words(answer))}</text>'


def strip_words(answer: SkylineAnswer) -> str:
    """The line of words over a strip: how long the sun comes, and what the skyline is made of."""
    return f"{seasons_sentence(answer)} {_from_words(answer)}"


def strip_scale(
    answer: SkylineAnswer, size: Format = USUAL, section: Section | None = None
) -> dict[str, float]:
    """Where the strip draws an azimuth and an altitude: its edges, and the angles there."""
    part = section or whole_section(answer)
    return {
        "left": _LEFT,
        "right": size.wide - _RIGHT,
        "top": size.top,
        "bottom": size.tall - _BOTTOM,
        "first_deg": round(part.first_deg, 4),
        "span_deg": round(part.span_deg, 4),
        "top_deg": round(part.top_deg, 4),
    }


def skyline_png(answer: SkylineAnswer) -> bytes:
    """The same strip as PNG, on paper 190 mm wide at 300 points to the inch."""
    import resvg_py

    svg = skyline_svg(answer).replace("system-ui,-apple-system,", "")
    return bytes(resvg_py.svg_to_bytes(svg_string=svg, zoom=_PNG_SCALE))


def _key(answer: SkylineAnswer, size: Format) -> Iterator[str]:
    """What the patterns and squares mean, at the right of the title; only what is there."""
    shown = []
    if answer.error_deg is not None:
        shown.append(("doubt", say("may be off by this (95 %)")))
    if answer.ground_deg is not None:
        shown.append(("trees", say("trees")))
    if answer.readings:
        shown.append(("", say("measured by hand")))
    at = float(size.wide - _RIGHT)
    for pattern, words in reversed(shown):
        at -= 7.5 * len(words)
        yield f'<text x="{at:.1f}" y="20" fill="{_SECOND}">{words}</text>'
        at -= 18.0
        fill = f"url(#{pattern})" if pattern else _SKY
        side = 12 if pattern else 8
        yield (
            f'<rect x="{at + (12 - side) / 2:.1f}" y="{10 + (12 - side) / 2:.1f}" '
            f'width="{side}" height="{side}" fill="{fill}" stroke="{_INK}"/>'
        )
        at -= 14.0


def _top_deg(answer: SkylineAnswer) -> float:
    highest = float(answer.skyline.altitude_deg.max())
    sun = max((float(day.altitude_deg.max(initial=0.0)) for day in answer.days), default=0.0)
    return min(90.0, max(20.0, 1.12 * max(highest, sun)))


def _axes(part: Section, x: _To, y: _To, size: Format) -> Iterator[str]:
    step = 5 if part.top_deg <= 25.0 and part.span_deg < 360.0 else 10
    step = step if part.top_deg <= 50.0 else 20
    for altitude in range(0, int(part.top_deg) + 1, step):
        at = y(altitude)
        yield (
            f'<line x1="{_LEFT}" x2="{size.wide - _RIGHT}" y1="{at:.1f}" y2="{at:.1f}" '
            f'stroke="{_RULE}"/>'
            f'<text x="{_LEFT - 6}" y="{at + 4:.1f}" text-anchor="end">{altitude}°</text>'
        )
    base = size.tall - _BOTTOM
    for at, name, anchor, bold in _bearings(part, x, size):
        weight = ' font-weight="700"' if bold else ""
        yield (
            f'<line x1="{at:.1f}" x2="{at:.1f}" y1="{base + 20}" y2="{base + 24}" '
            f'stroke="{_INK}"/><text x="{at:.1f}" y="{base + 38}" text-anchor="{anchor}"{weight}>'
            f"{name}</text>"
        )


def _bearings(part: Section, x: _To, size: Format) -> Iterator[tuple[float, str, str, bool]]:
    """Where an azimuth stands under a strip, its words, anchor, and whether it is heavy."""
    if part.span_deg < 360.0:
        every = 10 if part.span_deg <= 120.0 else 20
        for azimuth in range(0, 360, every):
            at = x(azimuth)
            if _LEFT + 12.0 <= at <= size.wide - _RIGHT - 12.0:
                yield at, f"{azimuth:03d}°", "middle", azimuth % 45 == 0
        return
    for number in range(17):
        azimuth_deg = part.first_deg + 22.5 * number
        name = _POINTS[int(azimuth_deg / 22.5) % 16]
        if number % 2 == 0:
            name = f"{name} {azimuth_deg % 360.0:.0f}°"
        anchor = "start" if number == 0 else "end" if number == 16 else "middle"
        at = _LEFT + number / 16 * (size.wide - _LEFT - _RIGHT)
        yield at, name, anchor, number % 4 == 0


def _ground(answer: SkylineAnswer, first_deg: float, x: _To, y: _To, size: Format) -> Iterator[str]:
    skyline = answer.skyline
    order = np.argsort((skyline.azimuth_deg - first_deg) % 360.0)
    azimuth, altitude = skyline.azimuth_deg[order], skyline.altitude_deg[order]
    right = round(2 * x(first_deg + 180.0) - _LEFT, 1)  # a full turn on

    def line(heights: Floats) -> list[str]:
        points = [f"{x(a):.1f} {y(h):.1f}" for a, h in zip(azimuth, heights, strict=True)]
        return [f"{_LEFT} {y(heights[0]):.1f}", *points, f"{right} {y(heights[0]):.1f}"]

    base = y(min(0.0, float(altitude.min())))

    def solid(heights: Floats, fill: str) -> str:
        outline = "L".join(line(heights))
        return f'<path d="M{_LEFT} {base:.1f}L{outline}L{right} {base:.1f}Z" fill="{fill}"/>'

    if answer.ground_deg is not None:
        yield solid(altitude, "url(#trees)")
        yield solid(answer.ground_deg[order], _GROUND)
    else:
        yield solid(altitude, _GROUND)
    if answer.error_deg is not None:
        error = answer.error_deg[order]
        edge = line(altitude)[::-1]
        for off, fill in ((error, "doubt"), (-error, "under")):
            yield f'<path d="M{"L".join([*line(altitude + off), *edge])}Z" fill="url(#{fill})"/>'


def _readings(answer: SkylineAnswer, x: _To, y: _To) -> Iterator[str]:
    """Each edge measured by hand, as a square with its errors across and up."""
    for each in answer.readings:
        at, up = x(each.azimuth.true_deg), y(each.altitude_deg)
        wide = x(1.0) - x(0.0)
        across, tall = each.azimuth.error_deg * abs(wide), abs(y(0.0) - y(1.0))
        rise = each.altitude_error_deg * tall
        yield (
            f'<path d="M{at - across:.1f} {up:.1f}H{at + across:.1f}M{at:.1f} {up - rise:.1f}'
            f'V{up + rise:.1f}" stroke="{_SKY}" stroke-width="4"/>'
            f'<path d="M{at - across:.1f} {up:.1f}H{at + across:.1f}M{at:.1f} {up - rise:.1f}'
            f'V{up + rise:.1f}" stroke="{_INK}" stroke-width="1.4"/>'
            f'<rect x="{at - 4:.1f}" y="{up - 4:.1f}" width="8" height="8" fill="{_SKY}" '
            f'stroke="{_INK}" stroke-width="1.6"/>'
        )


def _from_words(answer: SkylineAnswer) -> str:
    said = f"{answer.basis[0].upper()}{answer.basis[1:]}."
    return said if len(said) <= _LONGEST_BASIS else said[: _LONGEST_BASIS - 1] + "…"


def _way(day: SunOfDay, x: _To, y: _To, size: Format) -> Iterator[str]:
    """The sun's way: a hollow band while on the place, a broken line while hidden."""
    points = [(x(a), y(h)) for a, h in zip(day.azimuth_deg, day.altitude_deg, strict=True)]
    for lit, run in _runs(day.on_place, [p[0] for p in points], size):
        path = "M" + "L".join(f"{points[i][0]:.1f} {points[i][1]:.1f}" for i in run)
        if lit:
            yield f'<path d="{path}" fill="none" stroke="{_INK}" stroke-width="7"/>'
            yield f'<path d="{path}" fill="none" stroke="#fffdf4" stroke-width="4"/>'
        else:
            # cased, so that it shows on ground and sky alike
            yield f'<path d="{path}" fill="none" stroke="{_INK}" stroke-width="3"/>'
            yield (
                f'<path d="{path}" fill="none" stroke="#fffdf4" stroke-width="1.6" '
                'stroke-dasharray="2 4"/>'
            )


def _runs(lit: tuple[bool, ...], across: list[float], size: Format) -> Iterator[tuple[bool, range]]:
    """Stretches of one kind that do not jump over the strip's ends."""
    start = 0
    for index in range(1, len(lit) + 1):
        jumps = index < len(lit) and abs(across[index] - across[index - 1]) > size.wide / 2
        if index == len(lit) or lit[index] != lit[index - 1] or jumps:
            # a stretch reaches to the next one, so that no gap is left between
            stop = index if index == len(lit) or jumps else index + 1
            if stop - start > 1:
                yield lit[start], range(start, stop)
            start = index


def _labels(answer: SkylineAnswer, part: Section, x: _To, y: _To, size: Format) -> Iterator[str]:
    """What blocks, the days and their hours; none lies on another, the later one gives way."""
    taken: list[tuple[float, float, float]] = []  # middle, baseline, half width

    def free(at: float, up: float, text: str) -> bool:
        half = 4.0 * len(text) + 2.0
        if any(abs(at - a) < half + h and abs(up - u) < 14.0 for a, u, h in taken):
            return False
        taken.append((at, up, half))
        return True

    def shown(at: float, up: float, text: str, style: str) -> str:
        return f'<text x="{at:.1f}" y="{up:.1f}" text-anchor="middle" {style}>{escape(text)}</text>'

    def inside(at: float) -> bool:
        return _LEFT <= at <= size.wide - _RIGHT

    cased = f'stroke="{_SKY}" stroke-width="3" paint-order="stroke"'
    crossed = [
        b
        for day in answer.days
        for each in day.appearances
        for b in (each.comes_over, each.goes_behind)
        if b is not None
    ]
    for blocker in (*(crossed if part.span_deg < 360.0 else ()), *answer.blockers):
        if blocker.point == "highest" or blocker.distance_m is None:
            continue
        if not inside(x(blocker.azimuth_deg)):
            continue
        at = min(max(x(blocker.azimuth_deg), _LEFT + 26), size.wide - _RIGHT - 26)
        low = blocker.altitude_deg < 4.0
        up = y(0.0) + 16 if low else y(blocker.altitude_deg / 2.0)
        text = metres_text(blocker.distance_m) + (" !" if blocker.near else "")
        if free(at, up, text):
            ink, case = (_SECOND, _SKY) if low else (_SKY, _GROUND)
            yield shown(
                at, up, text, f'fill="{ink}" stroke="{case}" stroke-width="3" paint-order="stroke"'
            )
    for day in answer.days:
        if len(day.altitude_deg):
            top = int(np.argmax(day.altitude_deg))
            text = day_words(day.day) + ("" if day.appearances else say(": no sun here"))
            at, up = x(day.azimuth_deg[top]), y(day.altitude_deg[top]) - 22.0
            if not inside(at) or up < size.top:
                continue
            half = min(4.5 * len(text), (size.wide - _LEFT - _RIGHT) / 2)  # in bold type
            at = min(max(at, _LEFT + half), size.wide - _RIGHT - half)
            while not free(at, up, text):
                up -= 15.0
            yield shown(at, up, text, f'font-weight="700" {cased}')
    for day in answer.days:
        for index, hour in hour_marks(day, answer.zone):
            if day.altitude_deg[index] < 0.0:
                continue
            at, up = x(day.azimuth_deg[index]), y(day.altitude_deg[index])
            if not inside(at) or up < size.top:
                continue
            yield (f'<circle cx="{at:.1f}" cy="{up:.1f}" r="2.2" fill="#fffdf4" stroke="{_INK}"/>')
            if free(at, up - 7.0, hour):
                yield shown(at, up - 7.0, hour, f'font-size="12" {cased}')
