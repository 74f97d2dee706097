"""What the demo did, in words: each step with the command that does it on one's own files."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.zones import clock_name, clock_text
from backbearing.writers.looks import look_text
from backbearing.writers.outingwords import six_times
from backbearing.writers.searchwalk import search_walk_text
from backbearing.writers.text import clean, counted
from backbearing.writers.words import chance_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from backbearing.plans.demo import DemoAnswer
    from backbearing.plans.lostdemo import LostDemo
    from backbearing.records import LightWindow

_WINDOWS_SHOWN = 5
_LATER = 2  # clues that came after the first look


def demo_text(answer: DemoAnswer, commands: Sequence[str], page: str) -> str:
    """The steps, the command of each under it, and the page to open.

    commands: what a user would type for each step, in the steps' order.
    """
    lines = [
        "An invented island near 47° N 21° W: there is only sea. Your notebook is not touched."
    ]
    for number, (told, typed) in enumerate(zip(_steps(answer), commands, strict=True), start=1):
        head, *more = map(clean, told)
        lines += ["", f"{number}. {head}", *(f"     {line}" for line in more), f"   $ {typed}"]
    return "\n".join([*lines, "", f"Open {page}"])


def _steps(answer: DemoAnswer) -> Iterator[list[str]]:
    yield [f"A fresh notebook, its clock {clock_name(answer.zone)}."]
    yield ["How long the drive from home takes."]
    yield [_imported(answer)]
    first, *others = answer.wishes
    yield [
        f"The light wanted at the {first.subject}: {', '.join(first.words)}; "
        f"and at {len(others)} more."
    ]
    yield [
        f"The ground of the island, {counted(len(answer.terrain.added), 'raster')}: now the "
        "skyline decides when the sun arrives.",
        *_over_the_ground(answer, first.subject),
    ]
    yield [_passages(answer)]
    yield [
        f"What is carried, {counted(len(answer.kit.new), 'entry', 'entries')} from a file one "
        "edits: emulsions, cameras, lenses, holders.",
    ]
    yield [f"Plates of {answer.plates.plates[0].plate.batch}, {answer.plates.loaded} loaded."]
    yield [
        f"The best light of each subject, from {answer.light.start} to {answer.light.end}:",
        *(_window(window) for window in _first_of_each(answer.light.windows)),
        *answer.light.assumptions[:1],
    ]
    outing = answer.sheet.outing
    yield [f"Where walks begin: {outing.start_name}."]
    yield [
        f"The day out to the {outing.subject}, {outing.day}, with what must be passed by when:",
        *(f"{what}: {clock}" for what, clock, _ in six_times(outing)),
        *(
            f"turn back by {clock_text(leg.turn_back, outing.zone)} if not past {leg.leg.end_name}"
            for leg in outing.out
            if leg.turn_back is not None
        ),
        *(
            f"else, near: {near.subject}, light {clock_text(near.begin, outing.zone)}–"
            f"{clock_text(near.end, outing.zone)}"
            for near in outing.near[:2]
        ),
    ]
    yield ["The same day on paper, two pages."]
    yield ["The page for the return visit: map, notes and light; it needs no network."]
    yield ["Subjects and camera positions as GPX, for a receiver."]


def lost_text(story: LostDemo, commands: Sequence[Sequence[str]], page: str) -> str:
    """The lost subject's story, step by step, with what to type for each."""
    lines = ["", f"And a subject known from memory alone, the {story.look.subject}:"]
    for number, (said, typed) in enumerate(zip(_lost_steps(story), commands, strict=True), start=1):
        lines.append("")
        lines += [clean(f"{number}. {said[0]}"), *(clean(f"   {line}") for line in said[1:])]
        lines += [f"   $ {one}" for one in typed]
    return "\n".join([*lines, "", f"Open {page}"])


def _lost_steps(story: LostDemo) -> Iterator[list[str]]:
    told = [clue.words for clue in story.clues.clues]
    walk = search_walk_text(story.walk).split("\n\nChance it is found by then", 1)[0]
    yield ["Put down from memory, far from sure; the light wanted there."]
    yield ["What is remembered of it:", *told[:-_LATER]]
    yield [*look_text(story.look).splitlines()]
    yield ["At home more comes to mind:", *told[-_LATER:]]
    yield [line for line in walk.splitlines() if line]
    yield ["The page while it is looked for: where it likely is, and what was looked at."]
    yield [
        "The walk as it was walked: the planned one, through the hole, which is open after all. It "
        "is invented, as the file says."
    ]
    yield [*look_text(story.found).splitlines()]


def _over_the_ground(answer: DemoAnswer, subject: str) -> Iterator[str]:
    """The same day's window at one subject on a plain and over the ground, and what blocks."""
    for over in answer.light.windows:
        for flat in answer.flat.windows:
            if over.subject == subject and (over.day, over.sky) == (flat.day, flat.sky):
                yield f"on a plain:       {_window(flat)}"
                yield f"over the ground:  {_window(over)}"
                yield over.why.partition("; ")[2]
                return


def _first_of_each(windows: Sequence[LightWindow]) -> list[LightWindow]:
    """The best window of each subject, in their order."""
    best: dict[str, LightWindow] = {}
    for window in windows:
        best.setdefault(window.subject, window)
    return list(best.values())[:_WINDOWS_SHOWN]


def _imported(answer: DemoAnswer) -> str:
    files = answer.imported.files
    walks = [track.summary for file in files for track in file.tracks]
    drawn = sum(sum(file.lines.kinds.values()) for file in files if file.lines is not None)
    records = sum(len(file.notes.lines) for file in files if file.notes is not None)
    photos = sum(file.photo is not None for file in files)
    return (
        f"{counted(len(walks), 'walk')}, {sum(walk.length_m for walk in walks) / 1000:.0f} km, "
        f"{counted(drawn, 'line')} over the ground, {counted(photos, 'photo')} and "
        f"{counted(records, 'field record')} read, which put "
        f"{counted(len(answer.page.subjects), 'subject')} on record; "
        f"{counted(sum(len(file.faults) for file in files), 'bad value')} reported, "
        f"{counted(sum(walk.suspect_fixes for walk in walks), 'suspect fix', 'suspect fixes')} "
        f"flagged, {counted(sum(walk.gaps for walk in walks), 'gap')} left open."
    )


def _passages(answer: DemoAnswer) -> str:
    """The passages on record, and the one that is in doubt."""
    *_, doubtful = sorted(answer.passages.passages, key=lambda line: -line.chance)
    every = answer.passages.passages
    return (
        f"{counted(len(every), 'passage')}: {', '.join(line.passage.name for line in every)}. "
        f"The {doubtful.passage.name} {doubtful.last_found}: chance open "
        f"{chance_text(doubtful.chance)}; 'way' says when it pays to go and see."
    )


def _window(window: LightWindow) -> str:
    start, best, end = (
        clock_text(instant, window.zone) for instant in (window.start, window.best, window.end)
    )
    return f"{window.day} {start}–{end}, best {best}: {window.subject}, {window.lit_from}"
