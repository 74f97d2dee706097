"""Settings that travel with the notebook."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.notebook import columns

if TYPE_CHECKING:
    from backbearing.notebook.connection import Notebook

KEYS = {
    "zone": "clock to go by at sea, as an IANA name; on land the position has its own",
    "start": "where walks begin: a coordinate, a name or a waypoint",
    "drive": "how long the drive from home to the start takes, as 40min",
    "park": "how long from the end of the drive until you walk, as 5min; not set: 10min",
    "language": "what the page and the sheet speak, as a code like de; not set: English, en",
    "call": "whom to call when you are overdue, and the number, as 'coast guard, 112'",
}


def get_setting(notebook: Notebook, key: str) -> str | None:
    """A setting's value, None where it is not set. Raises BadInput for an unknown key."""
    _refuse_unknown(key)
    rows = notebook.rows("SELECT value FROM settings WHERE key = ?", (key,))
    return columns.read_text(rows[0]["value"]) if rows else None


def set_setting(notebook: Notebook, key: str, value: str | None) -> None:
    """Set a setting; None takes it back. Raises BadInput for an unknown key.

    What the value means is for the caller to check: only it knows the time zones.
    """
    _refuse_unknown(key)
    notebook.run("DELETE FROM settings WHERE key = ?", (key,))
    if value is not None:
        notebook.run("INSERT INTO settings VALUES (?, ?)", (key, columns.storable(value)))


def list_settings(notebook: Notebook) -> dict[str, str]:
    """All settings that are set, by key."""
    rows = notebook.rows("SELECT key, value FROM settings ORDER BY key")
    return {row["key"]: columns.read_text(row["value"]) for row in rows}


def _refuse_unknown(key: str) -> None:
    if key not in KEYS:
        raise BadInput(
            f"there is no setting {quoted(key)}", remedy=f"the settings are: {', '.join(KEYS)}"
        )
