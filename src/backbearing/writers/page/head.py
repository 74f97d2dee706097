"""The head of the page: the answer in one sentence, what it rests on, whose clock it is by."""

from __future__ import annotations

import re
from math import ceil
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.places.zones import clock_name, offset_text
from backbearing.plans.drawnways import walked_within_m
from backbearing.plans.light import SKYLINE_FROM
from backbearing.plans.soundness import DOUBTFUL, doubtful
from backbearing.plans.unsureplace import unsure_place
from backbearing.saying import phrase, say, say_n
from backbearing.writers.words import clock_on, day_text, long_day_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.page import ReturnPage, ReturnSubject
    from backbearing.records import LightWindow
    from backbearing.writers.page.content import SubjectWords
    from backbearing.writers.words import WindowWords

LONGEST_IN_SENTENCE = 60
_MISSES = 2  # subjects whose nearest miss stands in the head
LEVEL = phrase("flat horizon assumed")  # so begins what says that no ground stood in
NOT_FOUND = phrase("Not found yet: look for it first.")
_WORD = re.compile(r"[\w.°±–-]+")


def rests_on(page: ReturnPage, first: LightWindow | None) -> tuple[str, ...]:
    """What the answer rests on; what is said at length elsewhere in it is said once."""
    own = first.rests_on if first else ()
    # the first of its own says which ground its skyline is from; those of others stand with them
    every = list(dict.fromkeys([*own, *(a for a in page.assumptions if not _of_ground(a, own))]))
    if any(doubtful(window) for each in page.subjects for window in each.windows):
        every.append(say(DOUBTFUL))  # the word stands beside each such window
    return tuple(
        text
        for text in every
        if not any(other != text and _said_in(text, other) for other in every)
    )


def _said_in(text: str, other: str) -> bool:
    """Whether all the words of one clause stand in another, in their order: said of more there."""
    words = iter(_WORD.findall(other))
    return all(word in words for word in _WORD.findall(text))


def _of_ground(assumption: str, own: tuple[str, ...]) -> bool:
    return bool(own) and assumption.startswith(say(SKYLINE_FROM))


def sentence(
    page: ReturnPage, subjects: tuple[SubjectWords, ...], first: LightWindow | None
) -> tuple[str, str, str, str]:
    """The answer: its lead in bold, the rest up to the subject's name, the name, what follows."""
    if not page.subjects:
        return (
            say("No subject on record yet."),
            say("Put one on record with backbearing mark, then make this page again."),
            "",
            "",
        )
    if first is None:
        looked = [each.looked_until for each in page.subjects if each.looked_until]
        if not looked:
            return say("No light was looked for:"), say("all on this page is made or gone."), "", ""
        until = long_day_text(max(looked), year_of=page.start)
        if len(subjects) == 1:
            name = cut(subjects[0].name)
            return (
                say("No good light up to {until}:", until=until),
                "",
                name,
                f".{_hardly_known(page, page.subjects[0])}{_sun_down(page)}"
                f"{_nearest(page.subjects[0].no_light)}",
            )
        return (
            say("No good light up to {until}", until=until),
            say("at any subject on this page."),
            "",
            "".join(_nearest_of_each(subjects)),
        )
    lead = (
        say(
            "{first_day}, about {start} to {end},",
            first_day=long_day_text(first.day, year_of=page.start),
            start=clock_on(first.start, first.zone, first.day),
            end=clock_on(first.end, first.zone, first.day),
        )
        if doubtful(first)
        else say(
            "{first_day}, {start} to {end},",
            first_day=long_day_text(first.day, year_of=page.start),
            start=clock_on(first.start, first.zone, first.day),
            end=clock_on(first.end, first.zone, first.day),
        )
    )
    about = (
        say("give or take {minutes}:", minutes=_minutes(first.plus_minus_min))
        if first.plus_minus_min
        else say("for")
    )
    if doubtful(first):
        about = say("doubtful, {about}", about=about)
    after = say(", without sun, under an overcast sky") if first.sky == "overcast" else ""
    if not after and first.lit_from:
        after = f", {first.lit_from}"
    if any(words.startswith(say(LEVEL)) for words in first.rests_on):
        after += say(", by a level horizon: no ground is known here")
    lit = page.next_lit
    sought = any(each.subject.name == first.subject for each in page.searches)
    known = _hardly_known(page, lit) if lit is not None and not sought else ""
    after += f".{known}{_sun_down(page)}"
    if sought:
        about = say("If it is where it was put down: {lead} {about}", lead=lead, about=about)
        lead = say(NOT_FOUND)
    return lead, about, cut(first.subject), after


def _hardly_known(page: ReturnPage, each: ReturnSubject) -> str:
    """Of a place whose error reaches what is told of it (`unsure_place`): that; else ''."""
    told = page.skyline
    unsure = unsure_place(each, told if told and told.name == each.subject.name else None)
    if unsure is None:
        return ""
    if unsure.edge_m is not None:
        reached = say(
            "which reaches the ground {edge} away that lets the sun in or out",
            edge=metres_text(unsure.edge_m),
        )
    elif unsure.camera:
        reached = say("which reaches camera position {camera}", camera=cut(unsure.camera))
    else:
        reached = say("farther than one sees")
    clock = ""
    if unsure.clock_min >= 1.0:
        clock = say(
            "; at its edge the sun comes up to {minutes} earlier or later",
            minutes=_minutes(unsure.clock_min),
        )
    return say(
        " Its place is known no better than to ± {error}, {reached}: all this is told for one "
        "spot of it{clock}.",
        error=metres_text(unsure.error_m),
        reached=reached,
        clock=clock,
    )


def _nearest(no_light: str) -> str:
    """Why there is none, and what would do, after the sentence that there is none."""
    return f" {no_light.rstrip('.')}." if no_light else ""


def _nearest_of_each(subjects: tuple[SubjectWords, ...]) -> Iterator[str]:
    """The same of several subjects, those first that have it; the rest stand in their panels."""
    known = [each for each in subjects if each.no_light]
    for each in known[:_MISSES]:
        yield say(" {name}: {why}.", name=cut(each.name), why=each.no_light.rstrip("."))
    if len(known) > _MISSES:
        yield say(" {more} more below.", more=len(known) - _MISSES)


def _sun_down(page: ReturnPage) -> str:
    """Of a first day on which the sun does not rise: that, and by when it is back; else ''."""
    days = page.calendar.every if page.calendar else ()
    up = [each.day for each in days if any(tone in ("shade", "sun") for _, _, tone in each.tones)]
    if not days or days[0].day in up:
        return ""
    # the skyline's first day counts the lifted upper limb at its noon, the tones step past it
    up += [s.first for s in page.skyline.seasons if s.first > days[0].day] if page.skyline else []
    back = (
        say("it is back by {up}", up=day_text(min(up), year_of=page.start))
        if up
        else say("nor in a year")
    )
    return say(
        " The sun does not rise on {days_day}; {back}.", days_day=day_text(days[0].day), back=back
    )


def why_day(page: ReturnPage, best: WindowWords | None) -> str:
    """Why the light that leads does, and where the sun stands then; '' without any."""
    if best is None:
        return ""
    first, sound = best.window, say("soonest")
    earlier = (w for each in page.subjects for w in each.windows if w.start < first.start)
    if any(doubtful(window) for window in earlier):
        sound = say("soonest light sure to be there")
    clauses = first.why.rstrip(".").split("; ")
    if first.lit_from and clauses[0].lower().startswith(first.lit_from.lower()):
        clauses = clauses[1:]  # the sentence says it
    said = "; ".join(
        [say("the {sound} from {start} on", sound=sound, start=day_text(page.start)), *clauses]
    )
    return say("Why this day: {said}.", said=said)


def rests_line(words: tuple[str, ...]) -> str:
    """What the answer rests on first of all, in one line."""
    return say("Rests on: {words}", words=words[0]) if words else ""


def _minutes(minutes: float) -> str:
    count = ceil(minutes)
    return say_n("{number} minute", "{number} minutes", count)


def clock_words(page: ReturnPage, first: LightWindow | None) -> str:
    """Which clock the times are of, said once."""
    if first is None:
        return ""
    zones = dict.fromkeys(w.zone for each in page.subjects for w in each.windows)
    name, offset = clock_name(first.zone), offset_text(first.start, first.zone)
    said = say("Clock: {name}.", name=name)
    if not name.startswith("UTC"):
        said = say(
            "Clock: {name}, {offset} on {first_day}.",
            name=name,
            offset=offset,
            first_day=day_text(first.day),
        )
    if len(zones) > 1:
        others = ", ".join(clock_name(z) for z in zones if z != first.zone)
        said += say(" Also {others}, each at its own subjects.", others=others)
    return said


def light_answer(page: ReturnPage, subjects: tuple[SubjectWords, ...], listed: int) -> str:
    """How much of the light asked for was found; `listed`: at how many subjects it is listed."""
    lit = sum(bool(w.windows) for w in subjects)
    if not subjects:
        return say("Nothing to look for light at.")
    if not lit:
        if len(subjects) == 1:
            return say("None found.")
        return say("None found; each subject below says why.")
    if len(subjects) == 1:
        return f"{subjects[0].light}."
    bare = len(subjects) - lit
    tail = say(" None found at {bare} of them; its panel says why.", bare=bare) if bare == 1 else ""
    if bare > 1:
        tail = say(" None found at {bare} of them; their panels say why.", bare=bare)
    if lit > listed:
        return say(
            "The soonest at {listed} of {subjects} subjects; the others' stand below.{tail}",
            listed=listed,
            subjects=len(subjects),
            tail=tail,
        )
    return say(
        "The soonest at {lit} of {subjects} subjects.{tail}",
        lit=lit,
        subjects=len(subjects),
        tail=tail,
    )


def ground(page: ReturnPage) -> str:
    """What ways there are on the map."""
    walks, routes, waypoints = len(page.tracks), len(page.routes), len(page.waypoints)
    said = [say_n("{number} walk", "{number} walks", walks)] if walks else []
    if routes:
        said.append(say_n("{number} planned route", "{number} planned routes", routes))
    if waypoints:
        said.append(say_n("{number} waypoint", "{number} waypoints", waypoints))
    if not said:
        return say("No walks, routes or waypoints on record here.")
    text = ", ".join(said[:-1]) + say(" and ") * (len(said) > 1) + said[-1]
    if page.walks_within_m is not None:
        text += say(
            " within {walks_within} of the subjects", walks_within=metres_text(page.walks_within_m)
        )
    return f"{text[0].upper()}{text[1:]}."


def walked_words(page: ReturnPage) -> str:
    """How much of the planned way was walked before; '' without one."""
    pieces = page.way_pieces
    if not pieces:
        return ""
    known, new = (sum(p.length_m for p in pieces if p.walked is walked) for walked in (True, False))
    within = metres_text(round(walked_within_m(page.simplified_to_m)))
    said = (
        say("{new} not walked yet", new=metres_text(round(new)))
        if new
        else say("nothing of it new ground")
    )
    return say(
        "The planned way out: {known} on ground you have walked (within "
        "{within} of a track drawn here), {said}.",
        known=metres_text(round(known)),
        within=within,
        said=said,
    )


def cut(name: str, longest: int = LONGEST_IN_SENTENCE) -> str:
    """A name short enough to stand in a sentence; the whole stands in its panel."""
    name = " ".join(name.split()) or say("unnamed")
    return name if len(name) <= longest else name[: longest - 1] + "…"
