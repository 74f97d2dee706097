"""The bytes of a file in pieces: unzipped where they are gzip, and never more than a cap."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from itertools import chain
from pathlib import Path

from backbearing.errors import BadFile

MOST_BYTES = 128 * 1024 * 1024  # unzipped
PIECE_BYTES = 64 * 1024
# A day's track at 1 Hz zips to a tenth, a device left on a table to a hundredth or two-hundredth.
# Deflate ends at 1 : 1032, which is where bombs are made.
STEEPEST_RATIO = 500
RATIO_FROM_BYTES = 16 * 1024 * 1024  # below this much output no ratio does harm

TELL_EACH_BYTES = 20_000_000  # half a second

Tell = Callable[[str], None]

GZIP_MAGIC = b"\x1f\x8b"
ZIP_MAGIC = b"PK\x03\x04"


def read_whole(path: Path) -> bytes:
    """All bytes of a file as they lie on the disk.

    Raises BadFile where it is no plain file, cannot be read, or is larger than MOST_BYTES.
    """
    return b"".join(_from_disk(path))


def pieces(
    path: Path,
    content: bytes | None = None,
    *,
    damaged: Tell | None = None,
    progress: Tell | None = None,
) -> Iterator[bytes]:
    """The bytes of `content`, or of the file at `path`, in pieces of at most PIECE_BYTES.

    gzip is known by its first two bytes, not by the file's name.
    damaged: told, as a clause, what was wrong with gzip of which something could be unpacked.
    progress: told in a line how much of a large file is read.

    Raises BadFile: as `read_whole`; for a zip archive; for gzip that is damaged from its first
    byte, holds more than MOST_BYTES or swells more than STEEPEST_RATIO times. Gzip that breaks
    off later ends there.
    """
    raw = _from_disk(path) if content is None else _slices(path, content)
    first = next(raw, b"")
    if first.startswith(ZIP_MAGIC):
        raise BadFile(
            "is a zip archive, not GPX", path=path, remedy="unpack it and import what is inside"
        )
    if first.startswith(GZIP_MAGIC):
        plain = _gunzipped(path, first, raw, damaged or (lambda what: None))
    else:
        plain = chain([first] if first else [], raw)
    read = 0
    for piece in plain:
        yield piece
        read += len(piece)
        if progress is not None and read % TELL_EACH_BYTES < len(piece):
            progress(f"read {read / 1e6:.0f} MB of it")


def _slices(path: Path, content: bytes) -> Iterator[bytes]:
    if len(content) > MOST_BYTES:
        raise _too_large(path)
    for start in range(0, len(content), PIECE_BYTES):
        yield content[start : start + PIECE_BYTES]


def _from_disk(path: Path) -> Iterator[bytes]:
    if "\0" in str(path):
        raise BadFile("is no name a file can have", path=path)
    if path.is_dir():
        raise BadFile("is a folder, not a file", path=path)
    if path.exists() and not path.is_file():  # a pipe would wait for ever, a device never end
        raise BadFile("is not a plain file", path=path)
    total = 0
    try:
        with path.open("rb") as file:
            while piece := file.read(PIECE_BYTES):
                total += len(piece)
                if total > MOST_BYTES:
                    raise _too_large(path)
                yield piece
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise BadFile(f"cannot be read ({reason})", path=path) from error


def _gunzipped(path: Path, first: bytes, raw: Iterator[bytes], damaged: Tell) -> Iterator[bytes]:
    member = None
    unzipped = 0
    piece = first
    zipped = len(first)
    full = False  # more may come out without anything going in
    while piece or full:
        if member is None:  # gzip files may be several, one behind the other
            if not piece.startswith(GZIP_MAGIC[: len(piece)]):
                if piece.strip(b"\0"):  # zeros pad the memory of a device
                    damaged("something that is no gzip stands after its end")
                return
            member = zlib.decompressobj(wbits=31)  # 31: expect a gzip header
        try:
            out = member.decompress(piece, PIECE_BYTES)
        except zlib.error as error:
            if unzipped:
                damaged("is damaged: what comes after this cannot be unpacked")
                return
            raise BadFile("is damaged: its gzip cannot be unpacked", path=path) from error
        unzipped += len(out)
        if unzipped > MOST_BYTES:
            raise _too_large(path)
        if unzipped > RATIO_FROM_BYTES and unzipped > STEEPEST_RATIO * zipped:
            raise BadFile(
                f"swells to more than {STEEPEST_RATIO} times its size when unzipped, "
                "as no track does",
                path=path,
            )
        if out:
            yield out
        piece = member.unconsumed_tail
        full = len(out) == PIECE_BYTES
        if member.eof:
            piece, full, member = member.unused_data, False, None
        if not piece and not full:
            piece = next(raw, b"")
            zipped += len(piece)
    if member is not None and unzipped:
        damaged("breaks off before its end")


def _too_large(path: Path) -> BadFile:
    return BadFile(
        f"is larger than {MOST_BYTES // 2**20} MB", path=path, remedy="split it into its days"
    )
