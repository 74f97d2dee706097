"""Which files an import was given, and what each is by its content."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from typing import Literal

from backbearing.errors import BadFile
from backbearing.records import Media

LINE_ENDINGS = (".geojson", ".geojson.gz")
PHOTO_ENDINGS = (".jpg", ".jpeg", ".heic", ".heif")  # the last two are refused by name
ENDINGS = (".gpx", ".gpx.gz", ".txt", *LINE_ENDINGS, *PHOTO_ENDINGS)  # what is taken from a folder
LARGE_BYTES = 10_000_000  # a file to speak of before it is read

FileKind = Media | Literal["photo"]


def found_files(paths: Iterable[str | Path]) -> Iterable[Path]:
    """The files named, and for a folder those in it, sorted; links to folders are not followed."""
    for named in map(Path, paths):
        if not named.is_dir():
            yield named
            continue
        inside = [
            Path(folder) / name
            for folder, _, names in os.walk(named, followlinks=False)
            for name in names
            if name.lower().endswith(ENDINGS) and not name.startswith(".")
        ]
        # a folder without any is named by the reader of files, as what it is
        yield from sorted(inside) or [named]


def file_kind(path: Path) -> FileKind:
    """What a file is, by its first bytes; an ending is a claim that the reader checks."""
    from backbearing.readers.gunzip import GZIP_MAGIC, ZIP_MAGIC
    from backbearing.readers.photos import photo_kind

    if path.is_dir():
        raise BadFile(f"holds no file that ends in {', '.join(ENDINGS)}", path=shown_path(path))
    if path.name.lower().endswith((".gpx", ".gpx.gz")):
        return "gpx"
    if path.name.lower().endswith(LINE_ENDINGS):
        return "lines"
    if path.name.lower().endswith(PHOTO_ENDINGS):
        return "photo"
    try:
        if not path.is_file():
            return "gpx"  # whose reader says what is wrong with it
        with path.open("rb") as file:
            head = file.read(512)
    except (OSError, ValueError):
        return "gpx"
    if head.startswith((GZIP_MAGIC, ZIP_MAGIC)):
        return "gpx"
    if photo_kind(head) is not None:
        return "photo"
    text = head.replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
    if text.startswith(b"{"):
        from backbearing.readers.lines import looks_like_lines

        return "lines" if looks_like_lines(text) else "notes"
    return "gpx" if text.startswith(b"<") else "notes"


def shown_path(path: Path) -> str:
    """A path as text that can be printed: a file's name may be any bytes."""
    return os.fsencode(path).decode("utf-8", "replace")


def size_words(path: Path) -> str:
    try:
        size = path.stat().st_size
    except (OSError, ValueError):
        return ""
    return f", {size / 1e6:.0f} MB" if size >= LARGE_BYTES else ""
