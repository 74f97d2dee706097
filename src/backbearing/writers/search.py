"""A search in words and numbers: clues, looks, and where the subject most likely is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.places.coordinates import decimal_text
from backbearing.places.words import metres_text
from backbearing.places.zones import clock_text
from backbearing.plans.searchlines import FOR_SUBJECTS
from backbearing.saying import say
from backbearing.writers.looks import side_said
from backbearing.writers.plain import plain
from backbearing.writers.text import clean, table
from backbearing.writers.words import chance_text, day_text, duration_text, plus_minus_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.search.asked import CluesAnswer
    from backbearing.plans.search.likelihood import Likely
    from backbearing.plans.search.offered import OfferedStop
    from backbearing.plans.search.offeredphotos import OfferedPhoto
    from backbearing.records import Look

_MOST_CELLS = 2000  # of a grid, given one by one: the likeliest


def clues_text(answer: CluesAnswer) -> str:
    """A line for each clue and each pause that is offered; '' for neither."""
    says = "\n".join(clean(each) for each in answer.says)
    parts = (_clue_table(answer), says, offers_text(answer), _photos_text(answer))
    return "\n\n".join(part for part in parts if part)


def offers_text(answer: CluesAnswer | Likely) -> str:
    """What own tracks offer before any memory is asked; '' for nothing."""
    if not answer.offers:
        return ""
    rows = [
        [
            str(each.track_id),
            f"{day_text(each.day)} {each.clock}",
            f"{each.minutes:.0f}",
            _along(each),
            f"{decimal_text(each.latitude_deg, each.longitude_deg)} ± {each.error_m:.0f} m",
            each.at_subject,
        ]
        for each in answer.offers
    ]
    head = [
        say("track"),
        say("stood from"),
        say("minutes"),
        say("along the line"),
        say("where"),
        say("at a subject"),
    ]
    if not any(row[3] for row in rows):
        head, rows = [*head[:3], *head[4:]], [[*row[:3], *row[4:]] for row in rows]
    return say(
        "Pauses of your own tracks on this ground; was it there?\n{table}",
        table=table(head, rows, [0, 2]),
    )


def _along(offer: OfferedStop | OfferedPhoto) -> str:
    """How far along the line of the ground, and on which side; '' on a grid."""
    if offer.along_m is None:
        return ""
    along = metres_text(offer.along_m)
    return say("{along} along, {side}", along=along, side=say(offer.side)) if offer.side else along


def _photos_text(answer: CluesAnswer) -> str:
    """What own photos offer; '' for nothing."""
    if not answer.photos:
        return ""
    rows = [
        [
            str(each.photo_id),
            f"{day_text(each.day)} {each.clock}",
            each.file_name,
            "" if each.looking_deg is None else f"{each.looking_deg:.0f}°",
            _along(each),
            f"{decimal_text(each.latitude_deg, each.longitude_deg)} ± {each.error_m:.0f} m",
            each.of_subject,
        ]
        for each in answer.photos
    ]
    head = [
        say("photo"),
        say("taken"),
        say("file"),
        say("looking"),
        say("along the line"),
        say("where"),
        say("of a subject"),
    ]
    kept = [i for i in range(len(head)) if any(row[i] for row in rows)]
    told = table([head[i] for i in kept], [[row[i] for i in kept] for row in rows], [0])
    return say("Your own photos from this ground; is it on one?\n{told}", told=told)


def _clue_table(answer: CluesAnswer) -> str:
    if not answer.clues:
        return ""
    rows = [
        [
            str(clue.id),
            clue.words,
            chance_text(clue.sure),
            day_text(clue.on) if clue.on else "",
            clue.note,
        ]
        for clue in answer.clues
    ]
    head = [
        say("no. for --drop"),
        say("remembered of {subject}", subject=answer.subject),
        say("sure"),
        say("told"),
        say("note"),
    ]
    return table(head, rows, right=[0, 2])


def likely_text(answer: Likely) -> str:
    """Where it most likely is: the sentence first, then stretches, clues, looks."""
    return "\n".join(_lines(answer))


def _lines(answer: Likely) -> Iterator[str]:
    sentence = answer.answer
    if answer.missing:
        yield clean(answer.missing)
        yield ""
    yield clean(sentence[:1].upper() + sentence[1:])
    if answer.found is not None:
        yield from _remembered(answer)
        return
    if answer.sides:
        yield clean(say("Left and right of {sides}.", sides=answer.sides))
    yield (
        say(
            "Elsewhere {elsewhere}, gone {gone}",
            elsewhere=chance_text(answer.elsewhere),
            gone=chance_text(answer.gone),
        )
        + (
            say("; by now likelier than here: think it over before looking on")
            if answer.give_it_up
            else ""
        )
        + "."
    )
    until = _until_line(answer)
    if until:
        yield clean(until)
    if answer.stretches:
        yield ""
        head = [
            say("worth a look"),
            say("share"),
            say("minutes"),
            say("chance I would have seen it"),
            say("middle"),
        ]
        yield table(
            head,
            [
                [
                    each.words,
                    chance_text(each.share),
                    f"{each.minutes:.0f}",
                    say("not yet looked at")
                    if each.seen_chance < 0.005
                    else chance_text(each.seen_chance),
                    decimal_text(each.latitude_deg, each.longitude_deg),
                ]
                for each in answer.stretches
            ],
            right=[1, 2],
        )
    yield ""
    size = answer.ground.size_m2
    half, nine = (float(size[part].sum()) / 1e4 for part in (answer.half, answer.nine_tenths))
    yield (
        say(
            "Half of the chance here lies on {half:.1f} ha, nine tenths on "
            "{nine:.1f} ha of {size:.1f} ha; all of it takes {minutes:.1f} h "
            "to look through once.",
            half=half,
            nine=nine,
            size=float(size.sum()) / 10000.0,
            minutes=answer.minutes / 60,
        )
    )
    yield from _remembered(answer)
    yield clean(say("Rests on: ") + "; ".join(answer.rests_on) + ".")
    if answer.offers:
        yield ""
        yield offers_text(answer)
        yield ""
    yield say(FOR_SUBJECTS)


def _remembered(answer: Likely) -> Iterator[str]:
    """Clues, looks and what is to be said of them; by the numbers that --drop takes."""
    for each in answer.clues:
        number = "" if each.number is None else say("clue {number}: ", number=each.number)
        sure = chance_text(each.sure)
        yield say(
            "  {number}{words}, {sure} sure, tells {bits:g} bit",
            number=number,
            words=clean(each.words),
            sure=sure,
            bits=each.bits,
        )
    if answer.crossing is not None:
        yield clean(f"  {answer.crossing.words}")
    for one, other in answer.at_odds:
        yield clean(
            say("At odds: '{one}' and '{other}' hardly fit together.", one=one, other=other)
        )
    for look in answer.looks:
        number = "" if look.id is None else say("look {number}: ", number=look.id)
        yield clean(f"  {number}{look_said(look)}")
    for remark in answer.remarks:
        yield clean(f"  {remark}")


def _until_line(answer: Likely) -> str:
    """From where and when that is, and what it leaves; why it cannot be said; '' unasked."""
    found = answer.until
    if found is None:
        return f"{answer.until_why[:1].upper()}{answer.until_why[1:]}." if answer.until_why else ""
    parts = [
        say(
            "From {start_name}, {found_day}: {walk} on foot, there by {arrive} at the earliest",
            start_name=found.start_name,
            found_day=day_text(found.day),
            walk=duration_text(found.walk_s),
            arrive=clock_text(found.arrive, found.zone),
        )
    ]
    if found.passage and found.passage_chance is not None:
        chance = chance_text(found.passage_chance)
        parts.append(
            say(
                "that is by {passage}, chance open {chance}: no other way is known",
                passage=found.passage,
                chance=chance,
            )
            if found.dearer_s is None
            else say(
                "{less} less there and back by {passage}, chance open {chance}, not counted on",
                less=duration_text(found.dearer_s),
                passage=found.passage,
                chance=chance,
            )
        )
    if found.find_by is None:
        parts.append(say("no light as wished there that day"))
    else:
        parts.append(
            say(
                "found by {find_by} it can be exposed",
                find_by=clock_text(found.find_by, found.zone),
            )
        )
    if found.then is not None:
        window = found.then.window
        parts.append(
            say(
                "{subject} is {walk} on, its light {start}–{end} {plus_minus}",
                subject=found.then.subject,
                walk=duration_text(found.then.walk_s),
                start=clock_text(window.start, found.zone),
                end=clock_text(window.end, found.zone),
                plus_minus=plus_minus_text(window),
            )
        )
    return "; ".join(parts) + "."


def likely_json(answer: Likely) -> dict[str, Any]:
    """The same for a program: each piece along a line, the likeliest cells of a grid."""
    ground = answer.ground
    order = answer.share.argsort()[::-1][:_MOST_CELLS] if ground.kind == "grid" else None
    picked = range(len(answer.share)) if order is None else order.tolist()
    latitude, longitude = ground.latitude_deg, ground.longitude_deg
    pieces = []
    for i in picked:
        piece: dict[str, Any] = {
            "latitude_deg": round(float(latitude[i]), 6),
            "longitude_deg": round(float(longitude[i]), 6),
            "share": round(float(answer.share[i]), 6),
            "seen_chance": round(float(answer.seen_chance[i]), 4),
            "size_m2": round(float(ground.size_m2[i]), 1),
        }
        if ground.from_m is not None and ground.to_m is not None and ground.side is not None:
            piece["from_m"] = round(float(ground.from_m[i]), 1)
            piece["to_m"] = round(float(ground.to_m[i]), 1)
            piece["side"] = "left" if ground.side[i] < 0 else say("right")
        pieces.append(piece)
    size = ground.size_m2
    return {
        "subject": answer.subject.name,
        "answer": answer.answer,
        "ground": ground.kind,
        "line": (ground.line.name or ground.line.kind) if ground.line else None,
        "sides": answer.sides,
        "elsewhere": round(answer.elsewhere, 4),
        "gone": round(answer.gone, 4),
        "give_it_up": answer.give_it_up,
        "stretches": plain(answer.stretches),
        "half_m2": round(float(size[answer.half].sum()), 1),
        "nine_tenths_m2": round(float(size[answer.nine_tenths].sum()), 1),
        "minutes": round(answer.minutes, 1),
        "pieces": pieces,
        "pieces_in_all": len(answer.share),
        "clues": [
            {
                "number": each.number,
                "words": each.words,
                "sure": plain(each.sure),
                "bits": plain(each.bits),
            }
            for each in answer.clues
        ],
        "crossing": plain(answer.crossing),
        "at_odds": [list(pair) for pair in answer.at_odds],
        "looks": plain(answer.looks),
        "sweep_m": round(answer.sweep_m, 1),
        "missing": answer.missing,
        "remarks": list(answer.remarks),
        "rests_on": list(answer.rests_on),
        "offers": plain(answer.offers),
        "caution": say(FOR_SUBJECTS),
        "until": None if answer.until is None else plain(answer.until),
        "until_why": answer.until_why,
    }


def look_said(look: Look) -> str:
    """A look in words: when, how, along which track, and whether it was found."""
    day = day_text(look.on) if look.on else say("no day")
    how = say("looked") if look.looking else say("only walked through")
    along = "" if look.track_id is None else say(" along track {track_id}", track_id=look.track_id)
    side = ""
    if look.side in ("left", "right"):
        side = f", {side_said(look)}" if look.line else say(", {side} side", side=say(look.side))
    ahead = say(", only ahead") if look.ahead else ""
    snow = say(", in snow") if look.snow else ""
    return f"{day}: {how}{along}{side}{ahead}{snow}{say('; found') if look.found else ''}"
