"""Names written from the right in our sentences: set apart, so that they turn no figure round.

A sentence of ours runs from the left. Figures after a word written from the right would join its
direction, and '08:50–15:55' read '15:55–08:50'. Each such word therefore stands between marks
that keep its direction inside (Unicode Standard Annex 9, first strong isolate and its end). This
is done where a text enters a page, a sheet or a drawing; the terminal, JSON and what a script
hands on to a file stay as they were written.
"""

from __future__ import annotations

import re
from contextlib import contextmanager
from typing import TYPE_CHECKING

from backbearing.errors import JOINERS
from backbearing.writers.text import clean

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

_FIRST_STRONG, _END = "\u2068", "\u2069"
# the blocks of scripts written from the right, their own figures and marks with them
_LETTER = "[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff]"
# words of one name: between them nothing that a sentence of ours would end a name with
_WORDS = rf"{_LETTER}+(?:[ '’\"({JOINERS}-]+{_LETTER}+)*"
_any_letter = re.compile(_LETTER).search
_words = re.compile(_WORDS)

_names: frozenset[str] = frozenset()
_pattern = _words


@contextmanager
def names_apart(names: Iterable[str]) -> Iterator[None]:
    """Within the block, know these names whole, with the figures and other letters in them."""
    global _names, _pattern  # one page at a time is made in a process
    before = _names, _pattern
    _names = frozenset(filter(_any_letter, (clean(" ".join(name.split())) for name in names)))
    known = sorted((n for n in _names if not _words.fullmatch(n)), key=len, reverse=True)
    _pattern = re.compile("|".join([*map(re.escape, known), _WORDS]))
    try:
        yield
    finally:
        _names, _pattern = before


def apart(text: str) -> str:
    """A text of ours as it may enter a page: cleaned, its names from the right set apart."""
    text = clean(text)
    if text.isascii() or not _any_letter(text):
        return text
    return _pattern.sub(lambda found: f"{_FIRST_STRONG}{found[0]}{_END}", text)


def apart_or_name(text: str) -> str:
    """As `apart`, but a name alone stays as it is: its element keeps it apart.

    So a form can hand it on as it is on record.
    """
    cleaned = clean(text)
    return cleaned if cleaned in _names else apart(text)
