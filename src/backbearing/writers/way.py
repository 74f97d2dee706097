"""A way in words: its legs with their times, out and back."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.saying import say
from backbearing.writers.text import clean, table
from backbearing.writers.words import chance_text, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from backbearing.records import Approach, Leg

_WIDE = 100
STEEP_DEG = 25.0  # told from there on; a guess, no source


def way_text(way: Approach) -> str:
    """The way out leg by leg, the way back in one line, and what it rests on."""
    return "\n".join(_lines(way))


def _lines(way: Approach) -> Iterator[str]:
    up = "" if way.ascent_m is None else say(", {ascent} up", ascent=metres_text(way.ascent_m))
    yield clean(
        say(
            "From {start_name} to {end_name}: {length}{up}.",
            start_name=way.start_name,
            end_name=way.end_name,
            length=metres_text(way.length_m),
            up=up,
        )
    )
    yield (
        say(
            "Out {usual} usually, {slow} at the slow end; back {back_usual}, {back_slow}.",
            usual=duration_text(way.usual_s),
            slow=duration_text(way.slow_s),
            back_usual=duration_text(way.back_usual_s),
            back_slow=duration_text(way.back_slow_s),
        )
    )
    yield say(
        "{share} of it on ground you have walked or on paths.", share=_share(way.walked_share)
    )
    for words in passages_lines(way):
        yield fill(clean(words), _WIDE, subsequent_indent="  ")
    yield ""
    yield legs_table(way.out)
    yield ""
    yield say("Back:")
    yield legs_table(way.back)
    yield ""
    yield say("Rests on:")
    for words in way.rests_on:
        yield fill(clean(words), _WIDE, initial_indent="  ", subsequent_indent="    ")
    for words in way.cautions:
        yield fill(clean(words), _WIDE)


def passages_lines(way: Approach) -> Iterator[str]:
    """The passages the way goes by with their chances, and those that are worth a look."""
    for use in way.passages:
        chance = say(
            "chance open {chance}, {last_found}",
            chance=chance_text(use.chance),
            last_found=use.last_found,
        )
        others = "".join(
            say(
                " Else {other}: chance {chance}, {longer}.",
                other=other.name,
                chance=chance_text(other.chance),
                longer=_longer(other.longer_s),
            )
            for other in use.others
        )
        by = say("By") if use.trusted else say("It hangs on")
        yield f"{by} {use.name}: {chance}.{others}"
    for offer in way.offers:
        check = (
            say("You pass it")
            if offer.check_s < 30.0
            else say("{check} to check", check=duration_text(offer.check_s))
        )
        yield (
            say(
                "Worth a look: {offer}. {check}, saves {saved} out if open (chance "
                "{chance}; {last_found}).",
                offer=offer.name,
                check=check,
                saved=duration_text(offer.saved_s),
                chance=chance_text(offer.chance),
                last_found=offer.last_found,
            )
        )
    if way.passages or way.offers:
        yield say("Chances of passages: by cause, season and age; common practice, no source.")


def _longer(seconds: float) -> str:
    return (
        say("{seconds} longer out", seconds=duration_text(abs(seconds)))
        if seconds >= 0.0
        else say("{seconds} shorter out", seconds=duration_text(abs(seconds)))
    )


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
    head = [
        say("leg"),
        say("to"),
        say("how"),
        say("length"),
        say("up m"),
        say("down m"),
        say("usual"),
        say("slow"),
        "",
    ]
    return table(head, rows, right=[0, 3, 4, 5, 6, 7])


def leg_remark(leg: Leg) -> str:
    """What is to be known of a leg before it is walked: 'rough, 34° at its steepest, over …'."""
    said = []
    if leg.rough:
        said.append(say("rough: not after dark"))
    if leg.steepest_deg is not None and leg.steepest_deg >= STEEP_DEG:
        said.append(_steepest(leg, leg.steepest_deg))
    if leg.passages:
        said.append(say("by {passages}", passages=", ".join(leg.passages)))
    if over := [name for name in leg.water if name not in leg.passages]:
        said.append(say("over {over}", over=", ".join(over)))
    return "; ".join(said)


def _steepest(leg: Leg, steepest_deg: float) -> str:
    """How steep; of ground walked before that, since as steep ground elsewhere may be closed."""
    if leg.footing == "own track":
        return say("walked, {steepest:.0f}° at its steepest", steepest=steepest_deg)
    return say("{steepest:.0f}° at its steepest", steepest=steepest_deg)


def _share(share: float) -> str:
    return say("All") if share > 0.995 else say("None") if share < 0.005 else f"{share:.0%}"
