"""XML fed piece by piece with everything refused that could make it grow, reach out or hang.

Document types and entities are refused where they stand, encodings outside a list before
expat sees them, tags and nesting beyond a cap. What a caller does not know is passed over
with all that is in it.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from xml.parsers import expat

from backbearing.errors import BadFile, quoted

ENCODINGS = frozenset(
    ("utf-8", "utf8", "utf-16", "iso-8859-1", "iso-8859-15", "windows-1252", "us-ascii", "ascii")
)
DEEPEST_NESTING = 100
LONGEST_TAG_BYTES = 1024 * 1024  # a start tag with its attributes, or a comment
MOST_TEXT = 100_000  # characters of one element's text; what is longer is cut there
MANY_PIECES = 64

_declared_encoding = re.compile(r"""<\?xml\s[^>]*?encoding\s*=\s*["']([^"'>]*)["']""").match

_UTF_32_MARKS = (codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE)
_MENDABLE = (
    expat.errors.XML_ERROR_INVALID_TOKEN,
    expat.errors.XML_ERROR_UNDEFINED_ENTITY,
    expat.errors.XML_ERROR_BAD_CHAR_REF,
)

Start = Callable[[str, dict[str, str]], None]
End = Callable[[str], None]
Handlers = tuple[Start, End]


class SafeXml:
    """One pass of expat over one file, for a caller that owns the handlers.

    handlers: the start and end handlers in force outside skipped elements (see `resume`).
    text: the character data since it was last cleared; the caller clears it where an element
    opens whose text is of use.
    """

    def __init__(self, path: Path, root: Start, *, namespaces: bool, mending: bool) -> None:
        self.path = path
        self.namespaces = namespaces
        self.mending = mending
        self.handlers: Handlers = (root, lambda name: None)
        self.text: list[str] = []
        # how the pass ended
        self.error: expat.ExpatError | None = None
        self.unbound_prefix = False
        self.mendable = False  # it ended at something that `mending` may put right
        self.encoding = ""  # as declared
        # inside an element that is passed over
        self.depth = 0
        self.skipped_from = 0
        self.watch: Callable[[str], None] | None = None

        parser = self.parser = expat.ParserCreate(
            "utf-8" if mending else None, " " if namespaces else None
        )
        parser.buffer_text = True
        parser.XmlDeclHandler = self.declared
        parser.StartDoctypeDeclHandler = self.doctype
        parser.EntityDeclHandler = self.entity
        # a list's own append, in C, costs less than a handler that asks where it is
        parser.CharacterDataHandler = self.text.append
        self.resume()

    @property
    def line(self) -> int:
        return self.parser.CurrentLineNumber

    def bad(self, what: str) -> BadFile:
        return BadFile(what, path=self.path, line=self.line)

    def run(self, source: Iterator[bytes]) -> None:
        """Feed the pieces; an XML error ends the run and is kept in `error`.

        Raises BadFile for what is refused.
        """
        parser = self.parser
        fed = 0
        try:
            for piece in source:
                if not fed and not self.mending:
                    self.check_encoding(piece)
                parser.Parse(piece, False)
                fed += len(piece)
                if fed - max(0, parser.CurrentByteIndex) > LONGEST_TAG_BYTES:
                    raise self.bad(f"has a tag longer than {LONGEST_TAG_BYTES // 2**20} MB")
                if self.depth:
                    del self.text[self.skipped_from :]
                elif len(self.text) > MANY_PIECES:
                    self.text[:] = ["".join(self.text)[:MOST_TEXT]]
            if not fed:
                raise BadFile("is empty", path=self.path)
            parser.Parse(b"", True)
        except expat.ExpatError as error:
            self.error = error
            codes = expat.errors.codes
            if error.code == codes[expat.errors.XML_ERROR_UNBOUND_PREFIX]:
                self.unbound_prefix = True
            if error.code == codes[expat.errors.XML_ERROR_INCORRECT_ENCODING]:
                raise self.bad(
                    f"is not in the encoding {quoted(self.encoding, 30)} that it declares; "
                    "save it as UTF-8"
                ) from error
            self.mendable = error.code in {codes[message] for message in _MENDABLE}

    # ------------------------------------------------------------ refused

    def check_encoding(self, first: bytes) -> None:
        """Refuse an encoding that is not listed before expat asks Python for its codec."""
        if first.startswith((*_UTF_32_MARKS, b"<\0\0\0", b"\0\0\0<")):
            raise self.bad("its encoding UTF-32 is not read; save it as UTF-8")
        if first.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return
        head = first[:1024].removeprefix(codecs.BOM_UTF8).decode("latin-1")
        if found := _declared_encoding(head):
            self.declared("", found[1], 0)

    def declared(self, version: str, encoding: str | None, standalone: int) -> None:
        if encoding is not None and encoding.lower() not in ENCODINGS:
            raise self.bad(f"its encoding {quoted(encoding, 30)} is not read; save it as UTF-8")
        self.encoding = encoding or ""

    def doctype(self, name: str, *rest: object) -> None:
        if name.lower() == "html":
            raise self.bad("is a web page, not GPX")
        raise self.bad("declares a document type (DTD), which GPX has no use for and is refused")

    def entity(self, *rest: object) -> None:
        raise self.bad("declares an entity, which GPX has no use for and is refused")

    # ------------------------------------------------------------ passed over

    def resume(self) -> None:
        self.parser.StartElementHandler, self.parser.EndElementHandler = self.handlers

    def skip(self, watch: Callable[[str], None] | None = None) -> None:
        """Pass over the element that has just opened; `watch` is told what opens in it."""
        self.depth = 1
        self.watch = watch
        self.skipped_from = len(self.text)
        self.parser.StartElementHandler = self.start_skipped
        self.parser.EndElementHandler = self.end_skipped

    def start_skipped(self, name: str, attributes: dict[str, str]) -> None:
        self.depth += 1
        if self.depth > DEEPEST_NESTING:
            raise self.bad(f"nests elements deeper than {DEEPEST_NESTING}")
        if self.watch is not None:
            self.watch(name)

    def end_skipped(self, name: str) -> None:
        self.depth -= 1
        if not self.depth:
            del self.text[self.skipped_from :]
            self.resume()
