"""`demo`: the whole job in one run, on an invented island."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING

import click

from backbearing.cli.frame import tell_after_a_second

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from backbearing.plans.demo import DemoAnswer, DemoPassage


@click.command(name="demo")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Put everything there. Default: maps/demo in a checkout, else ./backbearing-demo.",
)
@click.option("--date", "first", metavar="DAY", help="Look for light from DAY on. Default: now.")
@click.option(
    "--lost", is_flag=True, help="Then lose a subject, look for it by what is remembered, find it."
)
def command(out: Path | None, first: str | None, lost: bool) -> None:
    """Run the whole job on an invented island and name the page to open.

    Walks, field notes and water go into a fresh notebook, the light wanted at each subject is
    kept, the island's ground and its passages are put on record, the coming light is ranked, and
    the page for the return visit is made. Each step names the command that does it on your own
    files. Your own notebook is never touched; running it again replaces what the demo made
    before, and nothing else.

    \b
    Example:
      backbearing demo
      backbearing demo --out island --date 2026-03-14
    """
    from datetime import UTC, datetime

    from backbearing.places.zones import local
    from backbearing.plans.demo import (
        EXPORT,
        PAGE,
        SHEET,
        ZONE,
        demo_folder,
        prepare_folder,
        run_demo,
    )
    from backbearing.plans.periods import read_coming_day, read_day_to_come
    from backbearing.writers.demo import demo_text
    from backbearing.writers.files import write_atomically
    from backbearing.writers.gpx import gpx_text
    from backbearing.writers.page import render_page
    from backbearing.writers.page.otherdays import draw_other_days
    from backbearing.writers.sheet import sheet_html

    now = datetime.now(UTC).replace(second=0, microsecond=0)
    today = local(now, ZONE).date()
    # a search is for a day to come, and is not laid for one that is over
    read = read_day_to_come if lost else read_coming_day
    start = today if first is None else read(first, today=today, where="--date")
    folder = demo_folder() if out is None else out
    prepare_folder(folder)
    answer = run_demo(
        folder,
        start=start,
        earliest_at=now if start == today else None,
        progress=tell_after_a_second(),
    )
    held = draw_other_days(answer.page, answer.other_days)
    write_atomically(folder / PAGE, render_page(answer.page, other_days=held))
    write_atomically(folder / SHEET, sheet_html(answer.sheet))
    write_atomically(folder / EXPORT, gpx_text(answer.export))
    page = _shown(folder / PAGE)
    if lost:
        from backbearing.plans.demo import NOTEBOOK
        from backbearing.plans.lostdemo import PAGE as LOST_PAGE
        from backbearing.plans.lostdemo import run_lost
        from backbearing.writers.demo import lost_text

        story = run_lost(
            folder, folder / NOTEBOOK, start=start, now=now, progress=tell_after_a_second()
        )
        held = draw_other_days(story.page, story.other_days)
        write_atomically(folder / LOST_PAGE, render_page(story.page, other_days=held))
    print(demo_text(answer, _commands(answer, folder, None if first is None else start), page))
    if lost:
        print(
            lost_text(story, _lost_commands(folder, start, story.track), _shown(folder / LOST_PAGE))
        )


def _commands(answer: DemoAnswer, folder: Path, start: date | None) -> list[str]:
    """What a user would type for each step; of the wishes, the first."""
    from backbearing.plans.demo import (
        BATCH,
        DRIVE,
        EXPORT,
        KIT,
        LOADED,
        NOTEBOOK,
        OUTING,
        PAGE,
        PASSAGES,
        SHEET,
        START,
        WISHES,
        demo_terrain,
        demo_water,
    )

    first = next(iter(WISHES))
    notebook = ["--notebook", _shown(folder / NOTEBOOK)]
    outing = ["--date", answer.sheet.outing.day.isoformat(), "--batch", BATCH]
    outing += [word for name, text in OUTING.items() for word in (_option(name), text)]
    since = [] if start is None else ["--from", str(start)]

    def typed(*words: str) -> str:
        return shlex.join(["backbearing", *notebook, *words])

    return [
        typed("setting", "zone", answer.zone),
        typed("setting", "drive", DRIVE),
        typed("import", _shown(answer.routes), _shown(demo_water())),
        typed("want", first, *_options(WISHES[first])),
        typed("terrain", "add", *map(_shown, demo_terrain()), "--ground", "bare"),
        typed(*_tried(next(one for one in PASSAGES if one.looked_on))),
        typed("kit", "take", _shown(answer.routes / KIT)),
        typed("plate", "load", *LOADED, "--batch", BATCH),
        typed("light", *since),
        typed("setting", "start", START),
        typed("outing", first, *outing),
        typed("sheet", first, *outing, "--out", _shown(folder / SHEET)),
        typed("map", *outing, "--out", _shown(folder / PAGE)),
        typed("export", "gpx", "--out", _shown(folder / EXPORT)),
    ]


def _added(passage: DemoPassage) -> list[str]:
    """The command that puts a passage on record."""
    from backbearing.plans.demo import demo_place

    return [
        *("passage", "add", passage.name, demo_place(passage.place), "--kind", passage.kind),
        *("--state", "open", "--on", passage.opened_on),
    ]


def _tried(passage: DemoPassage) -> list[str]:
    """The command that says what was found there later."""
    return [
        *("passage", "try", passage.name, "--found", "looked blocked", "--cause", "windfall"),
        *("--side", passage.looked_from, "--on", passage.looked_on),
    ]


def _lost_commands(folder: Path, start: date, track: int) -> list[list[str]]:
    """What a user would type for each step of the lost subject's story."""
    from backbearing.plans import lostdemo as lost

    notebook = shlex.quote(_shown(folder / lost.NOTEBOOK))

    def typed(*words: str) -> str:
        return shlex.join(["backbearing", "--notebook", notebook, *words])

    def clue(told: dict[str, str], sure: str) -> str:
        options = {"from" if name == "start" else name: value for name, value in told.items()}
        words = [word for name, value in options.items() for word in (f"--{name}", value)]
        return typed("clue", lost.SUBJECT, *words, "--sure", sure)

    day = lost.walk_day(start).isoformat()
    asked = ["--start", lost.WALK_START, "--within", lost.WALK_WITHIN, "--time", lost.WALK_TIME]
    asked += ["--date", day]
    page = ["--from", day, "--start", lost.WALK_START]
    page += ["--plates", "1", "--search-time", lost.WALK_TIME, "--search-within", lost.WALK_WITHIN]
    looked = ["--track", str(lost.LOOKED), "--side", lost.LOOKED_SIDE, "--range", lost.SEEN_AT]
    return [
        [
            typed("mark", lost.SUBJECT, "--at", lost.REMEMBERED, "--error", f"{lost.ERROR_M:.0f}m"),
            typed("want", lost.SUBJECT, *_options(lost.WANTED)),
        ],
        [clue(*each) for each in lost.CLUES],
        [typed("searched", lost.SUBJECT, *looked)],
        [clue(*each) for each in lost.REMEMBERED_LATER],
        [typed("search", lost.SUBJECT, *asked)],
        [typed("map", lost.SUBJECT, *page, "--out", _shown(folder / lost.PAGE))],
        [typed("import", _shown(folder / lost.WALKED))],
        [typed("searched", lost.SUBJECT, "--track", str(track), "--found", lost.TRUE_PLACE)],
    ]


def _option(name: str) -> str:
    return f"--{name.replace('_', '-')}"


def _options(wish: Mapping[str, str | bool]) -> list[str]:
    """A wish as the options of `want` that ask for it."""
    from backbearing.cli.want import command as want

    flags = {param.name: param for param in want.params}
    words = []
    for name, value in wish.items():
        option = flags[name]
        if isinstance(value, bool):
            words.append((option.opts if value else option.secondary_opts)[0])
        else:
            words += [option.opts[0], value]
    return words


def _shown(path: Path) -> str:
    """The path as short as it can be typed here."""
    absolute = path.absolute()
    here = Path.cwd()
    return str(absolute.relative_to(here) if absolute.is_relative_to(here) else absolute)
