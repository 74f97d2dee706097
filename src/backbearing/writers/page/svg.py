"""SVG elements with short numbers and safe text."""

from __future__ import annotations

from xml.etree import ElementTree

from backbearing.writers.apart import apart


def put(
    parent: ElementTree.Element, tag: str, kind: str, text: str = "", **attributes: str | float
) -> None:
    """Add an element of a class, `text_anchor` for text-anchor.

    ElementTree escapes what it is given; `apart` makes visible what would hide in a text, and
    keeps a name written from the right from turning the rest of it.
    """
    written = {
        name.replace("_", "-"): value if isinstance(value, str) else short_number(value)
        for name, value in attributes.items()
    }
    child = ElementTree.SubElement(parent, tag, {"class": kind, **written})
    if text:
        child.text = apart(text)


def short_number(value: float) -> str:
    """To a tenth of a unit: finer than a pixel at any size the drawings are shown."""
    return f"{value:.1f}".removesuffix(".0")
