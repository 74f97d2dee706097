"""What stands behind the subjects of light windows, as plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.zones import clock_text, local
from backbearing.saying import say
from backbearing.writers.text import clean, table
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.light.against import Against


def against_text(rows: Sequence[Against]) -> str:
    """One line a window at its best minute; says so where nothing is known."""
    known = [row for row in rows if row.sentence]
    if not known:
        return say("What stands behind is not known: it takes terrain, a camera position and sun.")
    lines = [
        [
            clean(row.subject),
            f"{day_text(local(row.best, row.zone).date())} {clock_text(row.best, row.zone)}",
            row.sentence,
        ]
        for row in known
    ]
    head = say(
        "What stands behind at the best minute, by the terrain alone (no trees or buildings):"
    )
    return f"{head}\n{table([say('subject'), say('best'), say('against')], lines)}"
