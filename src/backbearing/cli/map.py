"""`map`: the page for the return visit."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import click

from backbearing.cli.frame import Session, pass_session, tell_after_a_second
from backbearing.cli.outingoptions import outing_options
from backbearing.errors import BadInput, quoted

_LONGEST_NAME = 60


@click.command(name="map")
@click.argument("subjects", nargs=-1, metavar="[SUBJECT]…")
@click.option(
    "--from",
    "first",
    metavar="DAY",
    help="First day to look for light. Default: that of --date, else today, from now on.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Where the page goes; a page that stands there is replaced. Default: maps/ in a "
    "checkout, else beside the notebook.",
)
@click.option(
    "--base-map",
    "base_map_url",
    metavar="URL",
    help="Tiles the page's reader may switch on, as https://tiles.example/{z}/{x}/{y}.png. "
    "Nothing is fetched before that.",
)
@click.option(
    "--search-time",
    metavar="SPAN",
    help="Also lay out the next walk that looks for SUBJECT, as `search --time` does.",
)
@click.option(
    "--search-within",
    metavar="LENGTH",
    help="All round its place on record, as `search --within` does.",
)
@click.option(
    "--seen-at",
    metavar="LENGTH",
    default="15 m",
    show_default=True,
    help="The range at which you just see what you look for.",
)
@outing_options
@pass_session
def command(
    session: Session,
    /,
    subjects: tuple[str, ...],
    out: Path | None,
    base_map_url: str | None,
    **asked: Any,
) -> None:
    """Make one HTML page for a return to SUBJECT, or to all subjects on record.

    It holds the next good light, positions, notes, walks and a map; it asks no network for
    anything and reads with scripts off. It holds your positions too: whoever gets it sees them.
    The path of the page is printed; a page that stands there is replaced.

    The day it plans is that of `outing` with the same options: for --date, else for the next good
    light.

    \b
    Example:
      backbearing map "winding house"
      backbearing map --from saturday --out weekend.html
      backbearing map "winding house" --date 2026-12-22 --start "landing stage" --back-by 16:00
    """
    from datetime import UTC, datetime

    from backbearing.plans.pageasked import ask_page
    from backbearing.writers.files import write_atomically
    from backbearing.writers.page import render_page
    from backbearing.writers.text import clean

    target = out or _folder(session.path) / _file_name(subjects)
    _refuse_other_file(target)
    with session.open() as notebook:
        page = ask_page(
            notebook,
            subjects,
            now=datetime.now(UTC),
            progress=tell_after_a_second(),
            **asked,
        )
    write_atomically(target, render_page(page, base_map_url=base_map_url))
    print(clean(str(target)))


def _folder(notebook: Path) -> Path:
    """`maps/` of the checkout we stand in, else the notebook's own folder."""
    here = Path.cwd()
    for folder in (here, *here.parents):
        project = folder / "pyproject.toml"
        if (folder / "maps").is_dir() and project.is_file():
            named = re.search(r'^name = "backbearing"$', _text(project), re.MULTILINE)
            return folder / "maps" if named else notebook.parent
    return notebook.parent


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


def _file_name(subjects: tuple[str, ...]) -> str:
    """A name from what was typed, ASCII letters and figures only; never from a file's content."""
    words = re.findall(r"[a-z0-9]+", " ".join(subjects).lower())
    return "-".join(["return", *words])[:_LONGEST_NAME].rstrip("-") + ".html"


def _refuse_other_file(target: Path) -> None:
    """A page replaces a page, never a notebook or anything else; no folder is made for it."""
    if not target.absolute().parent.is_dir():
        raise BadInput(
            "the folder for the page is not there",
            where=quoted(target.parent, 200),
            remedy="make it first, or name another with --out",
        )
    try:
        with target.open("rb") as file:
            head = file.read(15)
    except OSError:
        return  # nothing there, or writing will say what is wrong
    if head and head.lower() != b"<!doctype html>":
        raise BadInput(
            "what stands there is no page",
            where=quoted(target, 200),
            remedy="name another file with --out",
        )
