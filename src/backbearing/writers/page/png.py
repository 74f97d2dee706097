"""A picture of a few tones as PNG: small enough to stand inside a page.

Source of the format: PNG (Third Edition), W3C Recommendation, 24 June 2025 (written from memory).
"""

from __future__ import annotations

import base64
import struct
import zlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_PALETTE = 3  # colour type
MOST_TONES = 16

Tone = tuple[int, int, int, int]  # red, green, blue, and how much it covers: 0 … 255


def png_uri(tones: NDArray[np.uint8], palette: Sequence[Tone]) -> str:
    """A picture as a data URI: (rows, columns) of indices into a palette of at most 16 tones."""
    return "data:image/png;base64," + base64.b64encode(png(tones, palette)).decode("ascii")


def png(tones: NDArray[np.uint8], palette: Sequence[Tone]) -> bytes:
    """A picture as PNG: (rows, columns) of indices into a palette of at most 16 tones.

    Packed in as many bits a cell as the palette needs, unfiltered: flat tones pack best so.
    """
    import numpy as np

    rows, columns = tones.shape
    bits = next(b for b in (1, 2, 4) if len(palette) <= 2**b)
    each = 8 // bits
    wide = -(-columns // each)
    spread = np.zeros((rows, wide * each), dtype=np.uint8)
    spread[:, :columns] = tones
    packed = np.zeros((rows, 1 + wide), dtype=np.uint8)  # a row begins with its filter: none
    for place in range(each):
        packed[:, 1:] |= spread[:, place::each] << np.uint8(8 - bits * (place + 1))
    return b"".join(
        (
            _SIGNATURE,
            _chunk(b"IHDR", struct.pack(">IIBBBBB", columns, rows, bits, _PALETTE, 0, 0, 0)),
            _chunk(b"PLTE", bytes(part for tone in palette for part in tone[:3])),
            _chunk(b"tRNS", bytes(tone[3] for tone in palette)),
            _chunk(b"IDAT", zlib.compress(packed.tobytes(), 6)),
            _chunk(b"IEND", b""),
        )
    )


def _chunk(kind: bytes, data: bytes) -> bytes:
    check = zlib.crc32(data, zlib.crc32(kind))
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)
