"""Photos written byte by byte from the published layout: no library has a hand in their data.

Layout: CIPA DC-008 (Exif): APP1 'Exif\\0\\0' and a TIFF of IFDs, twelve bytes an entry; a pointer
0x8769 to the Exif IFD and 0x8825 to the GPS IFD. JPEG's frame and scan: ITU-T T.81. Tag numbers
checked against public tag tables, the standard itself read through secondary texts.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Mapping
from typing import Any

BYTE, ASCII, SHORT, LONG, RATIONAL = 1, 2, 3, 4, 5
Entry = tuple[int, Any]  # type, value
Tags = dict[int, Entry]
EXIF_POINTER, GPS_POINTER = 0x8769, 0x8825

TAKEN: Tags = {0x9003: (ASCII, "2026:03:14 14:32:05"), 0x9011: (ASCII, "-01:00")}
# 47° 0' 36.0" N, 21° 0' 9.0" W
PLACED: Tags = {
    0x0001: (ASCII, "N"),
    0x0002: (RATIONAL, [(47, 1), (0, 1), (3600, 100)]),
    0x0003: (ASCII, "W"),
    0x0004: (RATIONAL, [(21, 1), (0, 1), (900, 100)]),
}


def exif(
    base: Mapping[int, Entry] | None = None,
    own: Mapping[int, Entry] | None = None,
    gps: Mapping[int, Entry] | None = None,
    *,
    big: bool = False,
) -> bytes:
    """A TIFF that holds these tags: its header, IFD 0, the Exif IFD and the GPS IFD."""
    order = ">" if big else "<"
    first = dict(base or {})
    for pointer, tags in ((EXIF_POINTER, own), (GPS_POINTER, gps)):
        if tags is not None:
            first[pointer] = (LONG, 0)
    end = 8 + _size(first, order)
    places = {}
    for pointer, tags in ((EXIF_POINTER, own), (GPS_POINTER, gps)):
        if tags is not None:
            places[pointer] = end
            first[pointer] = (LONG, end)
            end += _size(tags, order)
    head = (b"MM" if big else b"II") + struct.pack(f"{order}HI", 42, 8)
    parts = [head, _ifd(first, 8, order)]
    parts += [
        _ifd(tags, places[pointer], order)
        for pointer, tags in ((EXIF_POINTER, own), (GPS_POINTER, gps))
        if tags is not None
    ]
    return b"".join(parts)


def jpeg(tiff: bytes | None = None, *, size: tuple[int, int] = (64, 48)) -> bytes:
    """A grey JPEG of this size with these Exif data in its APP1 segment."""
    from PIL import Image

    out = io.BytesIO()
    picture = Image.new("RGB", size, (120, 120, 120))
    picture.paste((230, 230, 230), (0, 0, size[0] // 2, size[1] // 2))  # its upper left is light
    picture.save(out, "JPEG")
    plain = out.getvalue()
    if tiff is None:
        return plain
    body = b"Exif\0\0" + tiff
    return plain[:2] + b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body + plain[2:]


def with_declared_size(photo: bytes, width: int, height: int) -> bytes:
    """The same JPEG whose frame header (SOF0) declares another size."""
    at = photo.index(b"\xff\xc0")
    return photo[: at + 5] + struct.pack(">HH", height, width) + photo[at + 9 :]


def _packed(kind: int, value: Any, order: str) -> tuple[int, bytes]:
    if kind == ASCII:
        text = value if isinstance(value, bytes) else str(value).encode("latin-1") + b"\0"
        return len(text), text
    values = value if isinstance(value, list) else [value]
    if kind == RATIONAL:
        return len(values), b"".join(struct.pack(f"{order}II", *pair) for pair in values)
    code = {BYTE: "B", SHORT: "H", LONG: "I"}[kind]
    return len(values), b"".join(struct.pack(order + code, each) for each in values)


def _size(tags: Mapping[int, Entry], order: str) -> int:
    longer = (len(_packed(*entry, order)[1]) for entry in tags.values())
    return 2 + 12 * len(tags) + 4 + sum(size + size % 2 for size in longer if size > 4)


def _ifd(tags: Mapping[int, Entry], at: int, order: str) -> bytes:
    entries, data = [], b""
    data_at = at + 2 + 12 * len(tags) + 4
    for tag, (kind, value) in sorted(tags.items()):
        count, packed = _packed(kind, value, order)
        if len(packed) > 4:
            field = struct.pack(f"{order}I", data_at + len(data))
            data += packed + b"\0" * (len(packed) % 2)
        else:
            field = packed.ljust(4, b"\0")
        entries.append(struct.pack(f"{order}HHI", tag, kind, count) + field)
    return (
        struct.pack(f"{order}H", len(tags)) + b"".join(entries) + struct.pack(f"{order}I", 0) + data
    )
