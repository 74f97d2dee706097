"""Looks for a subject in words and numbers: one put on record, and those that are."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import metres_text
from backbearing.plans.search.looked import NOT_HIDDEN
from backbearing.plans.search.sight import sight_said
from backbearing.saying import say
from backbearing.writers.plain import plain
from backbearing.writers.text import clean, table
from backbearing.writers.words import chance_text, day_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.search.lookedfor import LookAnswer, LooksAnswer
    from backbearing.records import Look


def look_text(answer: LookAnswer) -> str:
    """What a look changes, or what finding it says of the clues."""
    return "\n".join(clean(line) for line in _lines(answer))


def _lines(answer: LookAnswer) -> Iterator[str]:
    if answer.place is not None:
        at = decimal_text(answer.place.latitude_deg, answer.place.longitude_deg)
        yield say(
            "{subject}: found at {at}, {away} {wind} of its place on record; its position is "
            "mended.",
            subject=answer.subject,
            at=at,
            away=metres_text(answer.moved_m or 0.0),
            wind=answer.moved_to,
        )
        for number in answer.replaced:
            yield say(
                "Look {number} of that walk, not found till now, is replaced by this one, "
                "look {new}.",
                number=number,
                new=answer.number,
            )
        for score in answer.scores:
            verdict = say("right") if score.right else say("wrong")
            yield say(
                "  {score}: {verdict} (fits {fits:.0%})",
                score=score.words,
                verdict=verdict,
                fits=score.fits,
            ).replace("%", " %")
    elif answer.likely is not None:
        yield (
            say(
                "{subject}: not found; the chance to have found it on this walk was {seen_share}.",
                subject=answer.subject,
                seen_share=chance_text(answer.seen_share),
            )
        )
        sight = sight_said(answer.look.sight)
        ahead = say("; looked only ahead") if answer.look.ahead else ""
        yield say(
            "Look {number}: {way}, just seen at {sight}{ahead}.",
            number=answer.number,
            way=say(answer.way),
            sight=sight,
            ahead=ahead,
        )
        after = answer.likely.answer
        yield after[:1].upper() + after[1:]
        yield (
            say(
                "Elsewhere {elsewhere}, gone {gone}.",
                elsewhere=chance_text(answer.likely.elsewhere),
                gone=chance_text(answer.likely.gone),
            )
        )
        if answer.likely.give_it_up:
            yield say("By now likelier gone or elsewhere than here: think it over first.")
        yield from (one for one in answer.likely.remarks if one.startswith(say(NOT_HIDDEN)))
    for name in answer.opened:
        day = day_text(answer.look.on) if answer.look.on else ""
        yield say("{name}: walked through, on record as found open on {day}.", name=name, day=day)
    for name in answer.asked:
        yield (
            say(
                "{name}: the track comes near and does not tell whether it was "
                "tried; 'passage try' says what was found.",
                name=name,
            )
        )


def look_json(answer: LookAnswer) -> dict[str, Any]:
    """The same for a program."""
    return {
        "subject": answer.subject,
        "look": plain(answer.look),
        "found_at": plain(answer.place) if answer.place else None,
        "moved_m": None if answer.moved_m is None else round(answer.moved_m, 1),
        "moved_to": answer.moved_to,
        "replaced": list(answer.replaced),
        "seen_share": round(answer.seen_share, 4),
        "way": answer.way,
        "before": answer.before,
        "after": answer.likely.answer if answer.likely else None,
        "elsewhere": round(answer.likely.elsewhere, 4) if answer.likely else None,
        "gone": round(answer.likely.gone, 4) if answer.likely else None,
        "scores": plain(answer.scores),
        "opened": list(answer.opened),
        "asked": list(answer.asked),
    }


def looks_text(answer: LooksAnswer) -> str:
    """A line for each look on record."""
    lines = (
        []
        if answer.dropped is None
        else [say("look {dropped} is taken back", dropped=answer.dropped)]
    )
    if answer.looks:
        rows = [
            [
                str(line.look.id),
                day_text(line.look.on) if line.look.on else "",
                "" if line.look.track_id is None else str(line.look.track_id),
                _how(line.look.looking, line.look.ahead, line.look.snow, line.look.found),
                side_said(line.look),
                line.way,
                sight_said(line.look.sight),
                "–" if line.seen_share is None else chance_text(line.seen_share),
                line.look.note,
            ]
            for line in answer.looks
        ]
        head = [
            say("no."),
            say("day"),
            say("track"),
            say("how"),
            say("side"),
            say("went"),
            say("just seen at"),
            say("alone saw"),
            say("note"),
        ]
        lines.append(table(head, rows, right=[0, 2, 7]))
    else:
        lines.append(say("{subject}: no look for it is on record", subject=answer.subject))
    lines += [clean(remark) for remark in answer.remarks]
    return "\n".join(lines)


def looks_json(answer: LooksAnswer) -> dict[str, Any]:
    """The same for a program."""
    return {
        "subject": answer.subject,
        "looks": plain(answer.looks),
        "dropped": answer.dropped,
        "remarks": list(answer.remarks),
    }


def side_said(look: Look) -> str:
    """The side looked through, with the line it goes by where that is kept."""
    if not look.line:
        return say(look.side) if look.side else ""
    return say("{side} of {line}", side=say(look.side), line=look.line)


def _how(looking: bool, ahead: bool, snow: bool, found: bool) -> str:
    parts = [say("looked") if looking else say("walked through")]
    parts += [say("only ahead")] if ahead else []
    parts += [say("in snow")] if snow else []
    return ", ".join([*parts, *([say("found")] if found else [])])
