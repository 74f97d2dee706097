"""Time zones of places, looked up once: a look-up in a fresh process costs as much as numpy."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.notebook.columns import read_text

if TYPE_CHECKING:
    from backbearing.notebook.connection import Notebook
    from backbearing.records import Place

_DECIMALS = 7  # a centimetre


def keep_zone(notebook: Notebook, place: Place) -> None:
    """Keep which zone a place lies in, for `kept_zone`. Raises NotebookError."""
    from backbearing.places.zones import zone_there

    at = _at(place.latitude_deg, place.longitude_deg)
    notebook.run("DELETE FROM zones WHERE latitude_deg = ? AND longitude_deg = ?", at)
    notebook.run("INSERT INTO zones VALUES (?, ?, ?)", (*at, zone_there(*at)))


def kept_zone(notebook: Notebook, latitude_deg: float, longitude_deg: float) -> str | None:
    """The zone kept for exactly this place, None where none is. Raises NotebookError."""
    rows = notebook.rows(
        "SELECT zone FROM zones WHERE latitude_deg = ? AND longitude_deg = ?",
        _at(latitude_deg, longitude_deg),
    )
    return read_text(rows[0]["zone"]) or None if rows else None


def _at(latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    return round(latitude_deg, _DECIMALS), round(longitude_deg, _DECIMALS)
