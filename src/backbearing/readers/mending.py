"""XML that a careless writer left ill-formed → XML that can be read, with what was mended.

A bare & in a name and a control character are met often enough that the walk around them
should not be lost. Tags are never mended.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable, Iterator

REPLACED = "bytes that are not text or not XML were replaced by �"
KEPT_AMPERSAND = "a bare & (or a name behind it that XML does not know) was read as it is written"
FORBIDDEN_REFERENCE = "a reference to a character that XML forbids was replaced by �"

Tell = Callable[[int, str], None]

# undecodable bytes arrive as U+DC80…DCFF (surrogateescape)
_FORBIDDEN = dict.fromkeys(
    (*(c for c in range(1, 32) if c not in (9, 10, 13)), *range(0xD800, 0xE000), 0xFFFE, 0xFFFF),
    "�",
)
# NULs pad a file after a power cut, outside its root, where � may not stand
_FORBIDDEN[0] = " "
_forbidden = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_ampersand = re.compile(r"&(?!(?:amp|lt|gt|quot|apos|#0*[0-9]{1,7}|#x0*[0-9A-Fa-f]{1,6});)")
_reference = re.compile(r"&#(?:x0*([0-9A-Fa-f]{1,6})|0*([0-9]{1,7}));")
_cdata = re.compile(r"(<!\[CDATA\[|\]\]>)")  # in it, & is only an &
_unfinished = re.compile(
    r"(?:&[#0-9A-Za-z]{0,15}|<(?:!(?:\[(?:C(?:D(?:A(?:TA?)?)?)?)?)?)?|\]\]?)\Z"
)


def mended(source: Iterator[bytes], declared: str, tell: Tell) -> Iterator[bytes]:
    """The bytes as UTF-8 with forbidden characters replaced and every & that is one escaped.

    declared: the encoding the file says it is in, '' where it says none.
    tell: given the line and one of the sentences above, where each kind is met first.
    """
    pieces = _Pieces(tell)
    first = next(source, b"")
    decode = _decoder(first, declared)
    piece: bytes | None = first
    while piece is not None:
        yield pieces.mend(decode(piece, False)).encode("utf-8")
        piece = next(source, None)
    yield pieces.mend(decode(b"", True), last=True).encode("utf-8")


def _decoder(first: bytes, declared: str) -> Callable[[bytes, bool], str]:
    if first.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        name = "utf-16"
    elif first[:2] in (b"<\0", b"\0<"):
        name = "utf-16-le" if first[:1] == b"<" else "utf-16-be"
    elif declared.lower() in ("iso-8859-1", "iso-8859-15", "windows-1252"):
        name = declared
    else:
        name = "utf-8"
    errors = "replace" if name.startswith("utf-16") else "surrogateescape"
    return codecs.getincrementaldecoder(name)(errors).decode


class _Pieces:
    """What is known from one piece to the next."""

    def __init__(self, tell: Tell) -> None:
        self.tell = tell
        self.told: set[str] = set()
        self.line = 1
        self.held = ""
        self.in_cdata = False

    def mend(self, text: str, *, last: bool = False) -> str:
        text = self.held + text
        unfinished = None if last else _unfinished.search(text, max(0, len(text) - 20))
        self.held = unfinished[0] if unfinished else ""
        text = text.removesuffix(self.held)
        self.note(REPLACED, _forbidden, text)
        text = text.translate(_FORBIDDEN)
        parts = []
        for part in _cdata.split(text):
            if part == "<![CDATA[":
                self.in_cdata = True
            elif part == "]]>":
                self.in_cdata = False
            elif not self.in_cdata and "&" in part:
                self.note(KEPT_AMPERSAND, _ampersand, part)
                part = _reference.sub(self.reference, _ampersand.sub("&amp;", part))
            parts.append(part)
            self.line += part.count("\n")
        return "".join(parts)

    def note(self, what: str, wrong: re.Pattern[str], text: str) -> None:
        if what not in self.told and (found := wrong.search(text)):
            self.told.add(what)
            self.tell(self.line + text.count("\n", 0, found.start()), what)

    def reference(self, found: re.Match[str]) -> str:
        code = int(found[1], 16) if found[1] else int(found[2])
        if code < 0x110000 and code not in _FORBIDDEN:
            return found[0]
        if FORBIDDEN_REFERENCE not in self.told:
            self.told.add(FORBIDDEN_REFERENCE)
            self.tell(self.line + found.string.count("\n", 0, found.start()), FORBIDDEN_REFERENCE)
        return "�"
