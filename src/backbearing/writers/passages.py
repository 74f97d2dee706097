"""Passages in words: what was found there, when, and the chance that they are open."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import degrees_text, error_text, metres_text
from backbearing.plans.passages import found_text
from backbearing.saying import say
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
    head = [say("name"), say("kind"), say("chance open"), say("last found")]
    if answer.near:
        head += [say("away"), say("bearing")]
    rows = [_row(line) for line in answer.passages]
    chances = clean(
        say(
            "Chances are for {on}: by {chances_rest_on}.",
            on=day_text(answer.on),
            chances_rest_on=answer.chances_rest_on,
        )
    )
    return f"{table(head, rows, right=[2])}\n{chances}"


def _row(line: PassageLine) -> list[str]:
    cells = [line.passage.name, line.passage.kind, chance_text(line.chance), line.last_found]
    if line.away_m is not None and line.bearing_deg is not None:
        cells += [
            metres_text(line.away_m),
            say("{bearing} true", bearing=degrees_text(line.bearing_deg)),
        ]
    return cells


def _history(line: PassageLine, answer: PassageAnswer) -> Iterator[str]:
    passage = line.passage
    place = passage.place
    where = decimal_text(place.latitude_deg, place.longitude_deg)
    yield say(
        "{passage}: {kind} at {where}", passage=passage.name, kind=say(passage.kind), where=where
    )
    yield f"  {error_text(place)}" + (
        say(", from: {source}", source=place.source) if place.source else ""
    )
    yield (
        say(
            "  chance open on {on}: {chance} (by {chances_rest_on})",
            on=day_text(answer.on),
            chance=chance_text(line.chance),
            chances_rest_on=answer.chances_rest_on,
        )
    )
    for report in reversed(passage.reports):
        yield f"  {found_text(report)}" + (f": {report.note}" if report.note else "")
    if not passage.reports:
        yield f"  {line.last_found}"
