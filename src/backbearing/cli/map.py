"""`map`: the page for the return visit."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from backbearing.cli.frame import Session, pass_session, tell_after_a_second
from backbearing.cli.outingoptions import outing_options
from backbearing.errors import BadInput, quoted

if TYPE_CHECKING:
    from datetime import datetime

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
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Where the page goes; a page that stands there is replaced. Default: maps/ in a "
    "checkout, else beside the notebook. With --each a folder, which is made.",
)
@click.option(
    "--each",
    is_flag=True,
    help="A page of each subject and one of all, that link to each other.",
)
@click.option(
    "--processes",
    type=click.IntRange(1, 64),
    metavar="N",
    help="With --each, share the pages among N processes. Default: one a core.",
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
    "--range",
    "range_text",
    metavar="LENGTHS",
    help="From how far you just see what that walk looks for, as in 'likely'.",
)
@outing_options
@pass_session
def command(
    session: Session,
    /,
    subjects: tuple[str, ...],
    out: Path | None,
    each: bool,
    processes: int | None,
    base_map_url: str | None,
    **asked: Any,
) -> None:
    """Make one HTML page for a return to SUBJECT, or to all subjects on record.

    It holds the next good light, positions, notes, walks and a map; it asks no network for
    anything and reads with scripts off. It holds your positions too: whoever gets it sees them.
    The path of the page is printed; a page that stands there is replaced. With --each these are
    many: overview.html, and one for each SUBJECT or all on record, named by its number.

    The day it plans is that of `outing` with the same options: for --date, else for the next good
    light.

    \b
    Example:
      backbearing map "winding house"
      backbearing map --from saturday --out weekend.html
      backbearing map --each --out pages
      backbearing map "winding house" --date 2026-12-22 --start "landing stage" --back-by 16:00
    """
    from datetime import UTC, datetime

    from backbearing.writers.files import write_atomically
    from backbearing.writers.text import clean

    now = datetime.now(UTC)
    if each:
        for target in _each(session, subjects, out, processes, now, base_map_url, asked):
            print(clean(str(target)))
        return
    if processes is not None:
        raise BadInput(
            "one page is made by one process",
            where="--processes",
            remedy="add --each for a page of each subject, or leave it out",
        )
    target = out or _folder(session.path) / _file_name(subjects)
    _refuse_other_file(target)
    write_atomically(target, _page(session, subjects, now, base_map_url, asked))
    print(clean(str(target)))


def _page(
    session: Session,
    subjects: tuple[str, ...],
    now: datetime,
    base_map_url: str | None,
    asked: dict[str, Any],
) -> str:
    """One page; with its planned day worked out beside, where that is dear."""
    from backbearing.cli.meanwhile import PageAsked, day_meanwhile, note_kept
    from backbearing.cli.otherdays import drawn_other_days
    from backbearing.plans.pageasked import OF_A_SEARCH
    from backbearing.plans.settings import in_language

    of_day = {key: value for key, value in asked.items() if key not in OF_A_SEARCH}
    question = PageAsked(notebook=session.path, names=subjects, now=now, typed=of_day)
    with (
        session.open() as notebook,
        in_language(notebook),
        day_meanwhile(notebook, question) as wait_for_day,
    ):
        from backbearing.plans.pageasked import ask_page
        from backbearing.writers.page import get_ready, render_page

        def before_day() -> None:
            get_ready()
            wait_for_day()

        page = ask_page(
            notebook,
            subjects,
            now=now,
            before_day=before_day,
            progress=tell_after_a_second(),
            **asked,
        )
        held = drawn_other_days(notebook, page, asked, progress=tell_after_a_second())
        html = render_page(page, base_map_url=base_map_url, other_days=held)
    note_kept(question)
    return html


def _each(
    session: Session,
    names: tuple[str, ...],
    out: Path | None,
    processes: int | None,
    now: datetime,
    base_map_url: str | None,
    asked: dict[str, Any],
) -> list[Path]:
    """Make the overview and a page of each subject; their paths in this order."""
    from backbearing.cli.pages import Asked, make_pages, pages_of
    from backbearing.notebook.subjects import find_subject, list_subjects

    if asked["search_time"] is not None:
        raise BadInput(
            "one walk looks for one subject",
            where="--search-time",
            remedy="leave it out, or make the page of that subject without --each",
        )
    with session.open() as notebook:
        chosen = [find_subject(notebook, name) for name in names] or list_subjects(notebook)
    folder = out or _folder(session.path) / "pages"
    pages = pages_of(folder, list({one.id: one for one in chosen}.values()), names)
    _make_folder(folder)
    for page in pages:
        _refuse_other_file(page.target)
    question = Asked(notebook=session.path, now=now, base_map_url=base_map_url, page=asked)
    make_pages(pages, question, processes=processes, progress=tell_after_a_second())
    return [page.target for page in pages]


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise BadInput(
            f"no folder can be made there ({error.strerror})",
            where=quoted(folder, 200),
            remedy="with --each, --out names a folder",
        ) from error


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
