"""The online base map a user may ask for: a URL template, checked before it enters a page."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from backbearing.errors import BadInput, quoted

_HOST = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?|\[[0-9A-Fa-f:.]+\]")
_REST = re.compile(r"[A-Za-z0-9/._~!$&()*+,;=:@%?{}-]*")


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseMap:
    """Where tiles come from, once the reader of the page switches them on."""

    url: str
    origin: str  # what the page's policy lets through: scheme, host, port
    host: str


def read_base_map(text: str) -> BaseMap:
    """Take a tile URL template apart: http or https, with {z}, {x} and {y} in its path or query.

    Raises BadInput for anything else, a name or password in it included: the page is passed
    on, and its policy must name one host exactly.
    """
    remedy = "write it like https://tiles.example/{z}/{x}/{y}.png"

    def bad(what: str) -> BadInput:
        return BadInput(f"{quoted(text, 80)} {what}", where="--base-map", remedy=remedy)

    text = text.strip()
    if re.search(r"\s|[^ -~]", text):  # urlsplit drops some without a word
        raise bad("holds a character that does not belong in a URL")
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError as error:
        raise bad("is not a URL") from error
    if parts.scheme not in ("http", "https"):
        raise bad("is not an http or https URL")
    if "@" in parts.netloc:
        raise bad("carries a name or password, which everyone who gets the page could read")
    host = parts.netloc.rsplit(":", 1)[0] if port is not None else parts.netloc
    if not _HOST.fullmatch(host):
        raise bad("names no plain host")
    rest = text[len(f"{parts.scheme}://{parts.netloc}") :]
    if not _REST.fullmatch(rest):
        raise bad("holds a character that does not belong in a URL")
    missing = [mark for mark in ("{z}", "{x}", "{y}") if mark not in rest]
    if missing:
        raise bad(f"lacks {' and '.join(missing)}")
    if re.search(r"[{}]", re.sub(r"\{[zxy]\}", "", rest)):
        raise bad("holds braces other than {z}, {x} and {y}")
    origin = f"{parts.scheme}://{parts.netloc}"
    return BaseMap(url=text, origin=origin, host=parts.netloc)
