"""Putting a subject on record: what is said of it (`recording`) and measured (`measuring`)."""

from backbearing.plans.marking.recording import (
    LONGEST_TEXT,
    MarkAnswer,
    Remarks,
    filled_in,
    mark,
    mark_as_written,
    usable_name,
)

__all__ = [
    "LONGEST_TEXT",
    "MarkAnswer",
    "Remarks",
    "filled_in",
    "mark",
    "mark_as_written",
    "usable_name",
]
