"""One table of a kit file, asked key by key; each answer is checked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NoReturn

from backbearing.errors import BadFile, BadInput, quoted
from backbearing.places.lengths import read_length
from backbearing.places.platesizes import read_plate_size
from backbearing.readers.values import one_line

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

MOST_ENTRIES = 500  # of one kind, or in one list
LONGEST_NAME = 100


class KitTable:
    """One table of the file, asked key by key; each answer is checked."""

    def __init__(self, kind: str, number: int, values: Mapping[str, Any], path: Path) -> None:
        self.values, self.path = values, path
        name = values.get("name")
        named = quoted(name) if isinstance(name, str) else f"number {number}"
        self.called = f"{kind} {named}"

    def refuse(self, key: str, what: str, remedy: str = "") -> NoReturn:
        raise BadFile(f"{self.called}, {key}: {what}", path=self.path, remedy=remedy)

    def name(self) -> str:
        found = self.text("name")
        if not found:
            self.refuse("name", "is missing", "give it a name to call it by")
        return found

    def text(self, key: str, default: str = "") -> str:
        value = self.values.get(key, default)
        if not isinstance(value, str):
            self.refuse(key, "is not text", 'write it as "…"')
        found = one_line(value)
        if len(found) > LONGEST_NAME and key == "name":
            self.refuse(key, f"is longer than {LONGEST_NAME} characters")
        return found[:1000]

    def flag(self, key: str) -> bool:
        value = self.values.get(key, False)
        if not isinstance(value, bool):
            self.refuse(key, "is not true or false", "write true or false")
        return value

    def number(self, key: str, low: float, high: float, *, above: bool = False) -> float | None:
        """A figure within low … high (above: and not low itself); None where it is not given."""
        value = self.values.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(key, "is not a number")
        # compared before it is made a float: an integer of a file may have any number of figures
        if not low <= value <= high or (above and value == low):
            shown = "is" if abs(value) >= 1e15 else f"{value:g} is"  # nan is not
            self.refuse(key, f"{shown} outside {'over ' if above else ''}{low:g} to {high:g}")
        return float(value)

    def needed(self, key: str, low: float, high: float) -> float:
        """A figure above low, up to high, that must be there."""
        found = self.number(key, low, high, above=True)
        if found is None:
            self.refuse(key, "is missing")
        return found

    def length_mm(self, key: str, default: float | None = None) -> float | None:
        """A length written with its unit; a bare number is millimetres."""
        value = self.values.get(key)
        if value is None:
            return default
        if isinstance(value, int | float) and not isinstance(value, bool):
            value = f"{value} mm"
        if not isinstance(value, str):
            self.refuse(key, "is not a length", 'write it as "25 mm"')
        sign = -1.0 if value.strip()[:1] in ("-", "−") else 1.0
        try:
            return sign * read_length(value.strip().lstrip("-−"), where=key, most_m=10.0) * 1000.0
        except BadInput as error:
            self.refuse(key, error.what, error.remedy)

    def size_mm(self, key: str) -> tuple[float, float] | None:
        value = self.values.get(key)
        if value is None:
            return None
        if not isinstance(value, str):
            self.refuse(key, "is not a size", 'write it as "10 x 16 cm" or a name')
        try:
            return read_plate_size(value, where=key)
        except BadInput as error:
            self.refuse(key, error.what, error.remedy)

    def word(self, key: str, known: Sequence[str], default: str) -> str:
        found = self.text(key, default).lower()
        if found not in known:
            self.refuse(key, f"{quoted(found)} is not known", f"write one of {', '.join(known)}")
        return found

    def rows(self, key: str) -> list[Any]:
        value = self.values.get(key, [])
        if not isinstance(value, list) or len(value) > MOST_ENTRIES:
            self.refuse(key, "is not a list", "write it as [ …, … ]")
        return value
