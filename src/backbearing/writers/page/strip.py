"""The panel of the skyline: the strip `skyline` draws, in the page's own colours."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.writers.page.svg import short_number
from backbearing.writers.skyline import blocker_words, day_words, seasons_sentence
from backbearing.writers.skylinestrip import skyline_svg

if TYPE_CHECKING:
    from markupsafe import Markup

    from backbearing.plans.page import ReturnPage

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
    days: tuple[str, ...]
    blocks: tuple[tuple[str, str], ...]  # direction, what blocks there
    basis: str


def strip_words(page: ReturnPage) -> StripWords | None:
    """The panel; None where there is no subject whose skyline could be told."""
    from markupsafe import Markup

    held = page.skyline
    if held is None:
        return None
    return StripWords(
        answer=f"{held.name}: {seasons_sentence(held)}",
        drawing=Markup(_page_drawing(skyline_svg(held))),  # noqa: S704  built by us, escaped
        days=tuple(day_words(each.day) for each in held.days),
        blocks=tuple(
            (each.point, blocker_words(each) + ("; measure this" if each.near else ""))
            for each in held.blockers
        ),
        basis=held.basis,
    )


def _page_drawing(svg_text: str) -> str:
    # our own drawing, made in this process: nothing from outside is parsed
    svg = ElementTree.fromstring(svg_text)  # noqa: S314
    ElementTree.register_namespace("", _SVG.strip("{}"))
    for parent in list(svg.iter()):
        for child in list(parent):
            if child.tag == f"{_SVG}text" and float(child.get("y", "99")) < _HEAD:
                parent.remove(child)
    width, height = float(svg.get("width", "0")), float(svg.get("height", "0"))
    svg.set("viewBox", f"0 {_HEAD:.0f} {short_number(width)} {short_number(height - _HEAD)}")
    svg.set("class", "strip")
    for name in ("width", "height", "font-family"):
        svg.attrib.pop(name, None)
    for each in svg.iter():
        for name, value in each.items():
            if name == "id":
                each.set(name, f"strip-{value}")
            else:
                ours = _INKS.get(value, value)
                each.set(name, ours.replace("url(#", "url(#strip-"))
    return ElementTree.tostring(svg, encoding="unicode")
