"""`sheet`: an outing on paper."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from backbearing.cli.frame import Session, pass_session, say, tell_after_a_second
from backbearing.cli.outingoptions import outing_options


@click.command(name="sheet")
@click.argument("subject")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    default="sheet.html",
    show_default=True,
    metavar="FILE.html",
    help="The file to print from a browser.",
)
@click.option("--overwrite", is_flag=True, help="Replace a file that already stands there.")
@click.option(
    "--paper",
    type=click.Choice(["A4", "Letter"], case_sensitive=False),
    default="A4",
    show_default=True,
)
@click.option("--times-only", is_flag=True, help="One A5 panel with the six clock times.")
@outing_options
@pass_session
def command(
    session: Session,
    /,
    subject: str,
    out: Path,
    overwrite: bool,
    paper: str,
    times_only: bool,
    **asked: Any,
) -> None:
    """Plan a day for SUBJECT as 'outing' does, and lay it out for paper: two pages, or one panel.

    Six clock times first, then the route card, map and skyline; on the second page what is used
    at the tripod, what else is near, what to pack, and blanks. It reads in grey.

    \b
    Example:
      backbearing sheet "winding house" --start "landing stage" --date 2026-11-30
      backbearing sheet "winding house" --start "landing stage" --times-only --out times.html
    """
    from datetime import UTC, datetime

    from backbearing.plans.outing import ask_outing
    from backbearing.plans.settings import in_language
    from backbearing.plans.taking import gather_sheet
    from backbearing.writers.files import write_atomically
    from backbearing.writers.sheet import sheet_html, times_html

    now, tell = datetime.now(UTC), tell_after_a_second()
    with session.open() as notebook, in_language(notebook):
        outing = ask_outing(notebook, subject, now=now, progress=tell, **asked)
        answer = gather_sheet(notebook, outing, now=now, progress=tell)
        text = (
            times_html(answer)
            if times_only
            else sheet_html(answer, paper="Letter" if paper.lower() == "letter" else "A4")
        )
    write_atomically(out, text, overwrite=overwrite)
    if not outing.works:
        say("the day does not work as planned; the sheet says what is short")
    print(out)
