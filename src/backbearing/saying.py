"""All text a reader sees, said through one table, in which an English sentence is the key.

`say("{minutes} min on foot from {place}", minutes=20, place="arch")` looks the sentence up in
the catalogue of the language spoken, the gettext format (GNU gettext manual, section 10.3), and
fills in its fields; without a catalogue, and for what it leaves out, the English stands.
Names, notes and whatever else the notebook holds are fields, never keys.
"""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from string import Formatter
from typing import TYPE_CHECKING, Any

from backbearing.errors import BadInput, quoted

if TYPE_CHECKING:
    from collections.abc import Iterator
    from gettext import GNUTranslations

DOMAIN = "messages"
FOLDER = Path(__file__).parent / "texts"  # holds LANGUAGE/LC_MESSAGES/messages.mo
ENGLISH = "en"


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """A language, and where its catalogue lies; `en` has none."""

    code: str = ENGLISH
    folder: Path = FOLDER


_spoken = Language()
_table: GNUTranslations | None = None
_figures: _Figures | None = None


def say(text: str, /, **fields: object) -> str:
    """A text in the language spoken, its fields filled in as `str.format` does.

    text: the English; each `{field}` is given by name, and only where there are any are double
    braces single ones.
    """
    if _table is not None:
        text = _table.gettext(text) if text else text
        return _figures.format(text, **fields) if fields and _figures is not None else text
    return text.format(**fields) if fields else text


def say_n(one: str, many: str, number: float, /, **fields: object) -> str:
    """A text that counts something, in the form the language has for so many; as `{number}` too."""
    if _table is not None:
        # a count that is not whole takes the form of many
        text = _table.ngettext(one, many, int(number) if number == int(number) else 1000)
        return _figures.format(text, number=number, **fields) if _figures is not None else text
    return (one if number == 1 else many).format(number=number, **fields)


def phrase(text: str) -> str:
    """A text for the table that is said later: a constant, or a word the records keep as a key."""
    return text


def figure(number: str) -> str:
    """A number already written, `1.5` or `2,000`, with the language's own marks."""
    if _figures is None:
        return number
    return _figures.marked(number)


def languages(folder: Path = FOLDER) -> list[str]:
    """The languages there are catalogues for, English first."""
    found = (path.parents[1].name for path in folder.glob(f"*/LC_MESSAGES/{DOMAIN}.mo"))
    return [ENGLISH, *sorted(found)]


def spoken() -> Language:
    """The language spoken now, for a page's head or another process."""
    return _spoken


def language_stamp() -> str:
    """What a kept answer in words goes by: another where the language or its catalogue is."""
    if _table is None:
        return ""
    return f"{_spoken.code} {_path(_spoken).stat().st_mtime_ns}"


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Say all texts in a language within the block.

    Raises BadInput where there is no catalogue of it, or one with other fields than the English, or
    with markup: what is said goes into pages and drawings as it is.
    """
    global _spoken, _table, _figures  # one language a process: a command speaks one
    before = _spoken, _table, _figures
    table = _read(language)
    _table = table
    _spoken, _figures = language, None if table is None else _Figures(table)
    try:
        yield
    finally:
        _spoken, _table, _figures = before


def _read(language: Language) -> GNUTranslations | None:
    if language.code == ENGLISH:
        return None
    if language.code not in languages(language.folder):
        raise BadInput(
            f"there is no catalogue for the language {quoted(language.code)}",
            remedy=f"the languages are: {', '.join(languages(language.folder))}; DEVELOPERS.md "
            "says how to add one",
        )
    from gettext import GNUTranslations

    path = _path(language)
    with path.open("rb") as file:
        table = GNUTranslations(file)
    for key, said in table._catalog.items():  # type: ignore[attr-defined]  # it has no other list
        english = key[0] if isinstance(key, tuple) else key
        if not english:
            continue
        if _fields(said) - _fields(english):
            raise BadInput(
                f"the translation of {quoted(english)} has other fields than the English",
                where=quoted(path, 200),
            )
        if any(sign in said and sign not in english for sign in "<&"):
            raise BadInput(
                f"the translation of {quoted(english)} holds a sign of markup, < or &",
                where=quoted(path, 200),
            )
    return table


def _path(language: Language) -> Path:
    return language.folder / language.code / "LC_MESSAGES" / f"{DOMAIN}.mo"


def _fields(text: str) -> set[str]:
    try:
        return {name for _, name, _, _ in Formatter().parse(text) if name is not None}
    except ValueError:
        return {text}  # braces that do not close


class _Figures(Formatter):
    """Fills fields in with the decimal and thousands marks the catalogue has for `1.5`, `2,000`."""

    def __init__(self, table: GNUTranslations) -> None:
        tenth, thousands = table.gettext(phrase("1.5")), table.gettext(phrase("2,000"))
        self._marks = str.maketrans(
            {".": tenth.strip("15") or ".", ",": thousands.strip("02") or ","}
        )

    def marked(self, number: str) -> str:
        return number.translate(self._marks)

    def format_field(self, value: Any, format_spec: str) -> str:
        shown: str = super().format_field(value, format_spec)
        return self.marked(shown) if isinstance(value, int | float) else shown
