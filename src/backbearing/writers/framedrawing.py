"""The plate with the subject in it, as SVG; and a viewing card to print at true size.

Ink on paper: the plate is a ruled frame, the sky pale, the ground dark, the subject an open box
with its doubt hatched round it. No colour says anything.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import TYPE_CHECKING

from backbearing.saying import say
from backbearing.writers.apart import apart
from backbearing.writers.frame import headline, percent, way_sentence
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from backbearing.plans.framing import FrameAnswer
    from backbearing.plans.picture import Margin, Picture

_PAPER, _GROUND, _INK, _SECOND, _AXIS = "#f3f5f4", "#a8b3b7", "#12191c", "#414e54", "#7d8a8f"
_SKY = "#fffdf4"
_LONG_PX, _EDGE_PX, _HEAD_PX, _FOOT_PX = 560.0, 104.0, 84.0, 64.0
_FONT = "system-ui,-apple-system,'Segoe UI',Roboto,'DejaVu Sans',sans-serif"
_TEXT_PX, _LARGE_PX = 13.0, 26.0
_LONGEST_NAME, _CHARACTERS = 60, 92


def frame_svg(answer: FrameAnswer, *, upside_down: bool = False, worded: bool = True) -> str:
    """The plate as the picture is seen, or as it stands on the glass; one SVG file.

    Margins are in mm on the plate. worded: False leaves the words round it to the paper it is
    printed on and writes the margins large enough to be read there.
    """
    picture = answer.picture
    out = _outside_mm(picture)
    if upside_down:
        out = (out[1], out[0], out[3], out[2])
    scale = _LONG_PX / max(picture.wide_mm + out[0] + out[1], picture.high_mm + out[2] + out[3])
    wide, high = picture.wide_mm * scale, picture.high_mm * scale
    heads = [*_folded(headline(answer)), *_folded(way_sentence(answer))] if worded else []
    legend = _folded(frame_legend(answer)) if worded else []
    head = _HEAD_PX + 17 * len(heads) if worded else 1.5 * _LARGE_PX
    foot = _FOOT_PX + 17 * (len(legend) - 1) if worded else 1.5 * _LARGE_PX
    edge, least = (_EDGE_PX, 720.0) if worded else (_EDGE_PX * _LARGE_PX / _TEXT_PX, 0.0)
    room = head + out[2] * scale
    bottom = room + high + out[3] * scale
    across = max(wide + (out[0] + out[1]) * scale + 2 * edge, least)
    down = bottom + foot
    left = (across - wide + (out[0] - out[1]) * scale) / 2
    name, plate = frame_name(answer), clean(plate_words(answer))
    size = _TEXT_PX if worded else _LARGE_PX
    title = [
        f'<text x="24" y="32" font-size="18" font-weight="700">{escape(apart(name))}</text>',
        (
            f'<text x="24" y="52" fill="{_SECOND}">{escape(apart(plate))}'
            f"{say(', as it stands on the glass') if upside_down else ''}</text>"
        ),
    ]
    flip = f'transform="rotate(180 {left + wide / 2:.1f} {room + high / 2:.1f})"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {across:.0f} {down:.0f}" '
        f'width="{across:.0f}" height="{down:.0f}" role="img" font-size="{size:g}" fill="{_INK}" '
        f'font-family="{_FONT}">',
        ("<title>" + say("{escape} on the plate", escape=escape(apart(name))) + "</title>"),
        '<defs><pattern id="doubt" width="5" height="5" patternUnits="userSpaceOnUse">'
        f'<path d="M0 5L5 0M0 0L5 5" stroke="{_SECOND}" stroke-width=".6"/></pattern>'
        f'<clipPath id="plate"><rect x="{left:.1f}" y="{room:.1f}" width="{wide:.1f}" '
        f'height="{high:.1f}"/></clipPath></defs>',
        f'<rect width="100%" height="100%" fill="{_PAPER}"/>',
        *(title if worded else []),
        *(
            f'<text x="24" y="{74 + 17 * i}" font-size="14">{escape(apart(line))}</text>'
            for i, line in enumerate(heads)
        ),
        f"<g {flip}>" if upside_down else "<g>",
        *_scene(answer, left, room, scale, size),
        "</g>",
        *_margins(answer, left, room, scale, size, upside_down=upside_down),
        *(
            f'<text x="24" y="{bottom + 44 + 17 * i:.1f}" fill="{_SECOND}">{escape(line)}</text>'
            for i, line in enumerate(legend)
        ),
        "</svg>\n",
    ]
    return "\n".join(parts)


def _outside_mm(picture: Picture) -> tuple[float, float, float, float]:
    """How far the subject goes out at left, right, top, bottom [mm], as far as can be shown."""
    half_wide, half_high = picture.wide_mm / 2, picture.high_mm / 2
    sides = (
        -half_wide - (picture.left_mm or 0.0),
        (picture.right_mm or 0.0) - half_wide,
        picture.top_mm - half_high,
        -half_high - picture.foot_mm,
    )
    most = 2.0 * max(picture.wide_mm, picture.high_mm)
    left, right, top, bottom = (min(max(side, 0.0), most) for side in sides)
    return left, right, top, bottom


def _scene(
    answer: FrameAnswer, left: float, room: float, scale: float, size: float
) -> Iterator[str]:
    picture = answer.picture
    wide, high = picture.wide_mm * scale, picture.high_mm * scale

    def x(mm: float) -> float:
        return left + wide / 2 + mm * scale

    def y(mm: float) -> float:
        return room + high / 2 - mm * scale

    frame = f'x="{left:.1f}" y="{room:.1f}" width="{wide:.1f}" height="{high:.1f}"'
    yield f'<rect {frame} fill="{_SKY}"/>'
    yield '<g clip-path="url(#plate)">'
    if answer.sky is not None:
        points = " ".join(
            f"{x(a):.1f},{y(b):.1f}"
            for a, b in zip(answer.sky.right_mm, answer.sky.up_mm, strict=True)
        )
        bottom = room + high + 5
        yield (
            f'<polygon fill="{_GROUND}" points="{x(answer.sky.right_mm[0]):.1f},{bottom:.1f} '
            f'{points} {x(answer.sky.right_mm[-1]):.1f},{bottom:.1f}"/>'
        )
    half = picture.right_mm if picture.right_mm is not None else picture.wide_mm / 2
    doubt = {each.side: each.plus_minus_mm for each in picture.margins}
    aside = doubt.get("right", 0.0)
    lean = picture.leaning_mm
    feet = half if lean >= 0 else half - abs(lean)
    tops = half - lean if lean >= 0 else half
    outer = (
        f"M{x(-half - aside):.1f} {y(picture.top_mm + doubt['top']):.1f}"
        f"H{x(half + aside):.1f}V{y(picture.foot_mm - doubt['bottom']):.1f}"
        f"H{x(-half - aside):.1f}Z"
    )
    box = (
        f"M{x(-tops):.1f} {y(picture.top_mm):.1f}L{x(tops):.1f} {y(picture.top_mm):.1f}"
        f"L{x(feet):.1f} {y(picture.foot_mm):.1f}L{x(-feet):.1f} {y(picture.foot_mm):.1f}Z"
    )
    yield f'<path d="{outer}{box}" fill="url(#doubt)" fill-rule="evenodd"/>'
    yield f'<path d="{box}" fill="{_PAPER}" stroke="{_INK}" stroke-width="2"/>'
    if any(_outside_mm(picture)):
        outside = f'<path d="{box}" fill="none" stroke="{_SECOND}" stroke-dasharray="2 4"/>'
    else:
        outside = ""
    for line, words in ((picture.top_mm, "top"), (picture.foot_mm, "foot")):
        at = y(line) + (size + 2 if words == "top" else -6)
        yield f'<text x="{x(0):.1f}" y="{at:.1f}" text-anchor="middle">{say(words)}</text>'
    yield f"</g>{outside}"
    crop = answer.finder_crop
    if any(crop):
        l_, r_, t_, b_ = crop
        yield (
            f'<rect x="{left + l_ * wide:.1f}" y="{room + t_ * high:.1f}" '
            f'width="{wide * (1 - l_ - r_):.1f}" height="{high * (1 - t_ - b_):.1f}" fill="none" '
            f'stroke="{_SECOND}" stroke-dasharray="7 4"/>'
        )
    yield (
        f'<rect x="{left:.1f}" y="{room:.1f}" width="{wide:.1f}" height="{high:.1f}" '
        f'fill="none" stroke="{_INK}" stroke-width="2.4"/>'
    )
    yield (f'<path d="M{x(0):.1f} {room:.1f}v8M{x(0):.1f} {room + high:.1f}v-8" stroke="{_AXIS}"/>')


def _margins(
    answer: FrameAnswer, left: float, room: float, scale: float, size: float, *, upside_down: bool
) -> Iterator[str]:
    picture = answer.picture
    wide, high = picture.wide_mm * scale, picture.high_mm * scale
    middle, half = left + wide / 2, room + high / 2
    other = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
    spots = {
        "left": (left - 8, half, "end"),
        "right": (left + wide + 8, half, "start"),
        "top": (middle, room - 6, "middle"),
        "bottom": (middle, room + high + size + 4, "middle"),
    }
    for each in picture.margins:
        x, y, anchor = spots[other[each.side] if upside_down else each.side]
        yield (
            f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" stroke="{_PAPER}" '
            f'stroke-width="5" paint-order="stroke">{escape(_room(each))}</text>'
        )


def _room(margin: Margin) -> str:
    return f"{margin.mm:.0f} ± {margin.plus_minus_mm:.0f} mm".replace("-", "−")


def frame_name(answer: FrameAnswer) -> str:
    """`winding house from close up`, clean and cut where it is too long to stand on one line."""
    name = clean(
        say("{subject} from {position}", subject=answer.subject, position=answer.position)
        if answer.position
        else answer.subject
    )
    return name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}…"


def plate_words(answer: FrameAnswer) -> str:
    """The lens, and what the plate takes of its picture: `long · 160 × 100 mm`."""
    return f"{answer.lens} · {answer.picture.wide_mm:g} × {answer.picture.high_mm:g} mm"


def frame_legend(answer: FrameAnswer) -> str:
    """What the drawing's lines and shades mean."""
    words = [say("hatched: where its edge may be")]
    if any(_outside_mm(answer.picture)):
        words.append(say("dotted: what goes out"))
    if answer.picture.right_mm is None:
        words.append(say("width not known"))
    if any(answer.finder_crop):
        words.append(say("broken line: what the finder shows"))
    if answer.sky is not None:
        words.append(say("sky over the ground {percent}", percent=percent(answer.sky.share)))
    else:
        words.append(say("no ground drawn: no terrain or bearing"))
    return " · ".join(words)


def _folded(text: str) -> list[str]:
    lines, line = [], ""
    for word in clean(text).split(" "):
        if len(line) + len(word) + 1 > _CHARACTERS and line:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}".strip()
    return [*lines, line]


def viewing_card_svg(answer: FrameAnswer, *, string_mm: float = 300.0) -> str:
    """A card to cut out: its hole, a string's length from the eye, shows what the plate takes in.

    hole = image size × string / image distance. The bar of 100 mm shows whether it was printed at
    true size; where the hole would not go on the paper the string is shortened, and says so.
    """
    picture = answer.picture
    string = min(
        string_mm,
        *(
            room * picture.image_distance_mm / side
            for room, side in ((160.0, picture.wide_mm), (190.0, picture.high_mm))
        ),
    )
    string = float(int(string / 5.0) * 5)
    wide = picture.wide_mm * string / picture.image_distance_mm
    high = picture.high_mm * string / picture.image_distance_mm
    left, top = (190.0 - wide) / 2.0, 30.0
    tail = top + high + 14.0
    name = clean(f"{answer.camera}, {answer.lens}")[:_LONGEST_NAME]
    inner = ""
    if any(answer.finder_crop):
        inner = say("; the finder shows less")
    return (
        (
            '<svg xmlns="http://www.w3.org/2000/svg" width="190mm" height="'
            f'{tail + 34:.1f}mm" viewBox="0 0 190 {tail + 34:.1f}" role="img" '
            f'font-size="4" fill="{_INK}" font-family="{_FONT}">\n<title>'
        )
        + say("Viewing card")
        + (
            '</title>\n<rect width="100%" height="100%" fill="#fff"/>\n<rect '
            f'x="1" y="1" width="188" height="{tail + 32:.1f}" '
            f'fill="none" stroke="{_INK}" stroke-width=".3"/>\n<text x="8" '
            'y="12" font-weight="700" font-size="5">'
        )
        + say("Viewing card: {escape}", escape=escape(apart(name)))
        + '</text>\n<text x="8" y="19">'
        + say(
            "Cut out the hole. String {string:.0f} mm from card to eye{inner}.",
            string=string,
            inner=inner,
        )
        + (
            f'</text>\n<rect x="{left:.2f}" y="{top:.2f}" width="{wide:.2f}" '
            f'height="{high:.2f}" fill="{_PAPER}" stroke="{_INK}" '
            'stroke-width=".3" stroke-dasharray="2 1"/>\n<text x="95" y="'
            f'{top + high / 2:.1f}" text-anchor="middle" fill="{_SECOND}">'
            f'{wide:.1f} × {high:.1f} mm</text>\n<circle cx="95" cy="'
            f'{top + high + 6:.1f}" r="1.2" fill="none" stroke="{_INK}" '
            f'stroke-width=".3"/>\n<text x="98" y="{top + high + 7.4:.1f}" '
            'font-size="3.4">'
        )
        + say("string here")
        + (
            f'</text>\n<path d="M8 {tail + 10:.1f}h100m-100 -2v4m50 -3v2m50 -3v4" '
            f'stroke="{_INK}" stroke-width=".4" fill="none"/>\n<text x="8" '
            f'y="{tail + 19:.1f}">'
        )
        + say("This bar must measure 100 mm; if not, print again at full size.")
        + "</text>\n</svg>\n"
    )
