"""`search`: the next walk for a subject whose place is only remembered."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say, tell_after_a_second
from backbearing.cli.outingoptions import search_options


@click.command(name="search")
@click.argument("subject")
@click.option("--time", "span", metavar="SPAN", required=True, help="From and back to the start.")
@click.option("--along", metavar="LINE", help="Look along this line. Default: the first clue's.")
@click.option("--width", metavar="LENGTH", help="Of the ground on each side of it. Default: 60 m.")
@click.option("--within", metavar="LENGTH", help="Look round the place on record instead.")
@click.option(
    "--range",
    "range_text",
    metavar="LENGTHS",
    help="From how far you just see it, as in 'likely'. Default: as last given for it, else 15 m.",
)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Also write GPX.")
@click.option(
    "--sheet",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Also write it on one page to print, as HTML.",
)
@click.option("--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True)
@click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
@search_options
@json_option
@pass_session
def command(
    session: Session,
    /,
    subject: str,
    out: Path | None,
    sheet: Path | None,
    paper: Literal["A4", "Letter"],
    overwrite: bool,
    as_json: bool,
    **asked: Any,
) -> None:
    """Lay out the next walk that looks for SUBJECT: where, in which order, how long in each place.

    It goes by the clues and by what was looked at already, at the slow pace, within the time and
    the usable light. A passage that only looked blocked is tried where that is worth it. With
    when to give up, and where to go then. A good walk, not a proven optimum. For photographic
    subjects; for a missing person call the emergency services.

    \b
    Example:
      backbearing search "powder hut" --start "landing stage" --time 2h30
      backbearing search "powder hut" --start "landing stage" --time 3h --out look.gpx
      backbearing search "powder hut" --start "landing stage" --time 3h --sheet look.html
    """
    from datetime import UTC, datetime

    from backbearing.plans.search.askedwalk import ask_search
    from backbearing.plans.settings import in_language
    from backbearing.writers.files import write_atomically
    from backbearing.writers.plain import plain
    from backbearing.writers.searchgpx import search_gpx
    from backbearing.writers.searchwalk import search_walk_text
    from backbearing.writers.sheet import search_sheet_html

    with session.open() as notebook, in_language(notebook):
        answer, likely = ask_search(
            notebook, subject, now=datetime.now(UTC), progress=tell_after_a_second(), **asked
        )
        paged = search_sheet_html(likely, answer, paper=paper) if sheet is not None else ""
    if out is not None:
        write_atomically(out, search_gpx(answer), overwrite=overwrite)
        say(f"the walk was written to {out}")
    if sheet is not None:
        write_atomically(sheet, paged, overwrite=overwrite)
        say(f"the sheet was written to {sheet}")
    emit(as_json, lambda: plain(answer), lambda: search_walk_text(answer))
