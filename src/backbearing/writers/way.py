"""A way in words: its legs with their times, out and back."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.writers.text import clean, table
from backbearing.writers.words import chance_text, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from backbearing.records import Approach, Leg

_WIDE = 100


def way_text(way: Approach) -> str:
    """The way out leg by leg, the way back in one line, and what it rests on."""
    return "\n".join(_lines(way))


def _lines(way: Approach) -> Iterator[str]:
    up = "" if way.ascent_m is None else f", {metres_text(way.ascent_m)} up"
    yield clean(f"From {way.start_name} to {way.end_name}: {metres_text(way.length_m)}{up}.")
    yield (
        f"Out {duration_text(way.usual_s)} usually, {duration_text(way.slow_s)} at the slow end; "
        f"back {duration_text(way.back_usual_s)}, {duration_text(way.back_slow_s)}."
    )
    yield f"{_share(way.walked_share)} of it on ground you have walked or on paths."
    for words in passages_lines(way):
        yield fill(clean(words), _WIDE, subsequent_indent="  ")
    yield ""
    yield legs_table(way.out)
    yield ""
    yield "Back:"
    yield legs_table(way.back)
    yield ""
    yield "Rests on:"
    for words in way.rests_on:
        yield fill(clean(words), _WIDE, initial_indent="  ", subsequent_indent="    ")
    for words in way.cautions:
        yield fill(clean(words), _WIDE)


def passages_lines(way: Approach) -> Iterator[str]:
    """The passages the way goes by with their chances, and those that are worth a look."""
    for use in way.passages:
        chance = f"chance open {chance_text(use.chance)}, {use.last_found}"
        others = "".join(
            f" Else {other.name}: chance {chance_text(other.chance)}, {_longer(other.longer_s)}."
            for other in use.others
        )
        by = "By" if use.trusted else "It hangs on"
        yield f"{by} {use.name}: {chance}.{others}"
    for offer in way.offers:
        check = (
            "You pass it" if offer.check_s < 30.0 else f"{duration_text(offer.check_s)} to check"
        )
        yield (
            f"Worth a look: {offer.name}. {check}, saves "
            f"{duration_text(offer.saved_s)} out if open (chance {chance_text(offer.chance)}; "
            f"{offer.last_found})."
        )
    if way.passages or way.offers:
        yield "Chances of passages: by cause, season and age; common practice, no source."


def _longer(seconds: float) -> str:
    return f"{duration_text(abs(seconds))} {'longer' if seconds >= 0.0 else 'shorter'} out"


def legs_table(legs: Sequence[Leg]) -> str:
    """Legs, one a line: where to, how, how far, how long."""
    rows = [
        [
            str(number),
            leg.end_name,
            leg.name,
            metres_text(leg.length_m),
            "" if leg.ascent_m is None else f"{leg.ascent_m:.0f}",
            "" if leg.descent_m is None else f"{leg.descent_m:.0f}",
            duration_text(leg.usual_s),
            duration_text(leg.slow_s),
            leg_remark(leg),
        ]
        for number, leg in enumerate(legs, start=1)
    ]
    head = ["leg", "to", "how", "length", "up m", "down m", "usual", "slow", ""]
    return table(head, rows, right=[0, 3, 4, 5, 6, 7])


def leg_remark(leg: Leg) -> str:
    """What is to be known of a leg before it is walked: 'rough, 34° at its steepest, over …'."""
    said = []
    if leg.rough:
        said.append("rough: not after dark")
    if leg.steepest_deg is not None and leg.steepest_deg >= 25.0:
        said.append(f"{leg.steepest_deg:.0f}° at its steepest")
    if leg.passages:
        said.append(f"by {', '.join(leg.passages)}")
    if over := [name for name in leg.water if name not in leg.passages]:
        said.append(f"over {', '.join(over)}")
    return "; ".join(said)


def _share(share: float) -> str:
    return "All" if share > 0.995 else "None" if share < 0.005 else f"{share:.0%}"
