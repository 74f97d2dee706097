"""The panel of the skyline: the strip `skyline` draws, in the page's own colours."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.places.zones import local
from backbearing.plans.soundness import leading
from backbearing.saying import say
from backbearing.writers.page.svg import short_number
from backbearing.writers.skyline import blocker_words, day_words, seasons_sentence
from backbearing.writers.skylinestrip import (
    CLOSE,
    USUAL,
    Section,
    section_round,
    skyline_svg,
    strip_scale,
)
from backbearing.writers.words import clock_on, day_text

if TYPE_CHECKING:
    from markupsafe import Markup

    from backbearing.plans.horizon import SkylineAnswer
    from backbearing.plans.page import ReturnPage
    from backbearing.records import LightWindow

_SVG = "{http://www.w3.org/2000/svg}"
_INKS = {
    "#f3f5f4": "var(--strip-sky)",
    "#26353b": "var(--strip-ground)",
    "#12191c": "var(--ink)",
    "#414e54": "var(--ink2)",
    "#c5cdcf": "var(--rule)",
    "#5c6c66": "var(--strip-wood)",
}
_HEAD = 44.0  # the drawing's own head: on the page that is text


@dataclass(frozen=True, slots=True, kw_only=True)
class StripWords:
    """The panel in words."""

    answer: str
    drawing: Markup
    opens_at: int  # sixteenths of its width: a screen narrower than the strip shows it first
    close: Markup | None  # enlarged where the sun is in the window; None without one of sun
    close_says: str
    days: tuple[str, ...]
    blocks: tuple[tuple[str, str], ...]  # direction, what blocks there
    basis: str


def strips_words(page: ReturnPage) -> tuple[StripWords, ...]:
    """The panel for each subject that can be chosen; the one that leads first."""
    return tuple(
        _strip(year.skyline, window_of(page, year.calendar.subject), number)
        for number, year in enumerate(page.chosen)
    )


def window_of(page: ReturnPage, subject: str) -> LightWindow | None:
    """The leading window of sun of a subject."""
    each = next((s for s in page.subjects if s.subject.name == subject), None)
    return leading(w for w in each.windows if w.sky == "clear") if each else None


def _strip(held: SkylineAnswer, window: LightWindow | None, number: int) -> StripWords:
    from markupsafe import Markup

    section = window_section(held, window)
    raw = Markup  # drawings made by us, escaped
    return StripWords(
        answer=f"{held.name}: {seasons_sentence(held)}",
        drawing=raw(_page_drawing(skyline_svg(held), f"strip{number}-", _HEAD)),
        opens_at=_opens_at(held, section),
        close=raw(_page_drawing(skyline_svg(held, CLOSE, section), f"close{number}-", 0.0))
        if section
        else None,
        close_says=_close_says(held, window) if window else "",
        days=tuple(day_words(each.day) for each in held.days),
        blocks=tuple(
            (say(each.point), blocker_words(each) + (say("; measure this") if each.near else ""))
            for each in held.blockers
        ),
        basis=held.basis,
    )


def window_section(held: SkylineAnswer, window: LightWindow | None) -> Section | None:
    """The part of the sky the sun passes through in a window, by the way the strip itself draws."""
    if window is None or not held.days:
        return None
    way = held.days[0]
    inside = [i for i, at in enumerate(way.time) if window.start <= at <= window.end]
    if not inside:
        return None
    first, last = inside[0], inside[-1]
    up = float(way.altitude_deg[first : last + 1].max())
    ends = float(way.azimuth_deg[first]), float(way.azimuth_deg[last])
    # south of the equator the sun goes round against the clock
    against = (ends[1] - ends[0]) % 360.0 > 180.0
    from_deg, to_deg = (ends[1], ends[0]) if against else ends
    return section_round(held, from_deg, to_deg, up)


def _opens_at(held: SkylineAnswer, section: Section | None) -> int:
    """Where the light's window stands on the strip, or noon without one, in sixteenths."""
    scale = strip_scale(held)
    if section:
        azimuth_deg = section.first_deg + section.span_deg / 2.0
    elif held.days and len(held.days[0].azimuth_deg):
        azimuth_deg = float(held.days[0].azimuth_deg[held.days[0].altitude_deg.argmax()])
    else:
        azimuth_deg = scale["first_deg"] + 180.0
    turned = (azimuth_deg - scale["first_deg"]) % 360.0 / 360.0
    wide = scale["right"] - scale["left"]
    return round(16.0 * (scale["left"] + turned * wide) / USUAL.wide)


def close_scale(held: SkylineAnswer, window: LightWindow | None) -> dict[str, float] | None:
    """Where the enlargement draws an azimuth and an altitude; None where there is none."""
    section = window_section(held, window)
    return strip_scale(held, CLOSE, section) if section else None


def _close_says(held: SkylineAnswer, window: LightWindow) -> str:
    day = local(window.start, window.zone).date()
    first, last = (clock_on(at, window.zone, day) for at in (window.start, window.end))
    return say(
        "Enlarged where the sun is in the light of {day}, {first} to {last}.",
        day=day_text(day),
        first=first,
        last=last,
    )


def _page_drawing(svg_text: str, prefix: str, head: float) -> str:
    # our own drawing, made in this process: nothing from outside is parsed
    svg = ElementTree.fromstring(svg_text)  # noqa: S314
    ElementTree.register_namespace("", _SVG.strip("{}"))
    for parent in list(svg.iter()):
        for child in list(parent):
            if child.tag == f"{_SVG}text" and float(child.get("y", "99")) < head:
                parent.remove(child)
    width, height = float(svg.get("width", "0")), float(svg.get("height", "0"))
    svg.set("viewBox", f"0 {head:.0f} {short_number(width)} {short_number(height - head)}")
    svg.set("class", "strip close" if prefix.startswith("close") else "strip")
    for name in ("width", "height", "font-family"):
        svg.attrib.pop(name, None)
    for each in svg.iter():
        for name, value in each.items():
            if name == "id":
                each.set(name, prefix + value)
            else:
                ours = _INKS.get(value, value)
                each.set(name, ours.replace("url(#", f"url(#{prefix}"))
    return ElementTree.tostring(svg, encoding="unicode")
