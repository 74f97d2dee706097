"""Passages in words: what was found there, when, and the chance that they are open."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import degrees_text, error_text, metres_text
from backbearing.plans.passages import found_text
from backbearing.writers.text import clean, table
from backbearing.writers.words import chance_text, day_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.passages import PassageAnswer, PassageLine


def passages_text(answer: PassageAnswer) -> str:
    """A line for each passage, or one with its history; '' where there is none."""
    if not answer.passages:
        return ""
    if answer.one:
        return "\n".join(clean(line) for line in _history(answer.passages[0], answer))
    head = ["name", "kind", "chance open", "last found"]
    if answer.near:
        head += ["away", "bearing"]
    rows = [_row(line) for line in answer.passages]
    chances = clean(f"Chances are for {day_text(answer.on)}: by {answer.chances_rest_on}.")
    return f"{table(head, rows, right=[2])}\n{chances}"


def _row(line: PassageLine) -> list[str]:
    cells = [line.passage.name, line.passage.kind, chance_text(line.chance), line.last_found]
    if line.away_m is not None and line.bearing_deg is not None:
        cells += [metres_text(line.away_m), f"{degrees_text(line.bearing_deg)} true"]
    return cells


def _history(line: PassageLine, answer: PassageAnswer) -> Iterator[str]:
    passage = line.passage
    place = passage.place
    where = decimal_text(place.latitude_deg, place.longitude_deg)
    yield f"{passage.name}: {passage.kind} at {where}"
    yield f"  {error_text(place)}" + (f", from: {place.source}" if place.source else "")
    yield (
        f"  chance open on {day_text(answer.on)}: {chance_text(line.chance)} "
        f"(by {answer.chances_rest_on})"
    )
    for report in reversed(passage.reports):
        yield f"  {found_text(report)}" + (f": {report.note}" if report.note else "")
    if not passage.reports:
        yield f"  {line.last_found}"
