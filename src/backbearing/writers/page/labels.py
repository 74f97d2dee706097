"""Names on a drawing, set where they cover neither a mark nor each other."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from backbearing.saying import say
from backbearing.writers.page.svg import put
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from collections.abc import Sequence
    from xml.etree import ElementTree

    from backbearing.writers.page.plane import Point, Sheet

LONGEST_NAME = 26  # on a map; the whole name stands in the text
_BROAD = frozenset("MWmw@%")
_FIRST_PICTURE = "\U0001f000"
Box = tuple[float, float, float, float]  # left, top, right, bottom


@dataclass
class Labels:
    """What is taken on a sheet, and the setting of names in what is left."""

    sheet: Sheet
    size: float  # of the type, the largest the style sheet gives it at any width
    taken: list[Box] = field(default_factory=list)
    strips: list[Box] = field(default_factory=list)  # kept off where there is a choice
    ways: list[Box] = field(default_factory=list)  # kept off where there is still a choice

    def keep_off(self, point: Point, reach: float, *, strip: bool = False) -> None:
        box = (point[0] - reach, point[1] - reach, point[0] + reach, point[1] + reach)
        (self.strips if strip else self.taken).append(box)

    def set(
        self, parent: ElementTree.Element, at: Point, texts: Sequence[str], kind: str, reach: float
    ) -> bool:
        """Write the first of `texts` that fits beside, under or over the mark at `at`.

        False where there is no room for any.
        """
        words = [text for text in texts if not text.isdecimal()]
        off_strips = [*self.taken, *self.strips]
        for text, obstacles in [
            *((text, [*off_strips, *self.ways]) for text in words),
            *((text, off_strips) for text in words),
            *((text, off_strips) for text in texts if text not in words),
            *((text, self.taken) for text in texts if kind == "name"),
        ]:
            wide, high = text_width(text) * self.size, self.size
            for x, y, anchor in (
                (at[0] + reach, at[1] + high * 0.35, "start"),
                (at[0] - reach, at[1] + high * 0.35, "end"),
                (at[0], at[1] + reach + high * 0.8, "middle"),
                (at[0], at[1] - reach - high * 0.2, "middle"),
            ):
                left = x - {"start": 0.0, "end": wide, "middle": wide / 2}[anchor]
                box = (left, y - high * 0.85, left + wide, y + high * 0.25)
                inside = box[0] > 2 and box[2] < self.sheet.width - 2
                inside = inside and box[1] > 2 and box[3] < self.sheet.height - 2
                if inside and not crossed(box, obstacles):
                    self.taken.append(box)
                    put(parent, "text", kind, text, x=x, y=y, text_anchor=anchor)
                    return True
        return False


def crossed(box: Box, others: Sequence[Box]) -> bool:
    """Whether a box lies on any of the others."""
    return any(
        box[0] < other[2] and box[2] > other[0] and box[1] < other[3] and box[3] > other[1]
        for other in others
    )


def text_width(text: str) -> float:
    """About how wide a text is, in ems of a bold sans-serif."""
    return sum(map(_letter_width, text))


def fitted(text: str, ems: float) -> str:
    """As much of a text as is no wider than so many ems, with a mark where it is cut."""
    if text_width(text) <= ems:
        return text
    while text and text_width(text) > ems - 1.0:
        text = text[:-1]
    return f"{text.rstrip(' ,')}…"


def _letter_width(ch: str) -> float:
    if ch in _BROAD:
        return 1.1
    if unicodedata.east_asian_width(ch) in "WF":
        return 1.4 if ch >= _FIRST_PICTURE else 1.05
    return 0.64


def short_name(name: str) -> str:
    """A name as it fits on a map."""
    name = clean(name).strip() or say("unnamed")
    return name if len(name) <= LONGEST_NAME else name[: LONGEST_NAME - 1] + "…"
