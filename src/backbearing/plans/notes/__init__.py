"""Field notes into the notebook: where each record stood (`places`), what it becomes (`turns`).

`store` puts a file of them on record, one transaction a file, and adds single remarks.
"""

from backbearing.plans.notes.store import (
    NotesReport,
    PlacedSince,
    add_remark,
    place_since,
    store_notes,
)

__all__ = ["NotesReport", "PlacedSince", "add_remark", "place_since", "store_notes"]
