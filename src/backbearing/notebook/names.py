"""When two names are the same: NFC, case-folded, outer and doubled spaces and joiners dropped.

Computed where it is needed, never stored: a GIS that renames a row could not keep a stored
key right. All our writing happens under BEGIN IMMEDIATE, so looking first is safe.
"""

from __future__ import annotations

import unicodedata

from backbearing.errors import JOINERS

_NO_JOINERS = dict.fromkeys(map(ord, JOINERS))


def name_key(name: object) -> str | None:
    """The form under which names are compared; None where there is none.

    Bytes are read as UTF-8 as far as they are: another program may have put in anything, and a
    query hands over a name as a blob (SQLite cannot hand text that is no UTF-8 to Python).
    """
    if name is None:
        return None
    text = name.decode("utf-8", "replace") if isinstance(name, bytes) else str(name)
    folded = unicodedata.normalize("NFC", unicodedata.normalize("NFC", text).casefold())
    if not folded.isascii():
        folded = folded.translate(_NO_JOINERS)  # nobody sees them
    return " ".join(folded.split())
