"""SVG elements with short numbers and safe text."""

from __future__ import annotations

from xml.etree import ElementTree

from backbearing.writers.text import clean


def put(parent: ElementTree.Element, tag: str, attributes: dict[str, str], text: str = "") -> None:
    """Add an element; ElementTree escapes what it is given, and `clean` drops what hides."""
    child = ElementTree.SubElement(parent, tag, attributes)
    if text:
        child.text = clean(text)


def short_number(value: float) -> str:
    """To a tenth of a unit: finer than a pixel at any size the drawings are shown."""
    return f"{value:.1f}".removesuffix(".0")
