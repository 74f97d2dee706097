"""A page of each subject and one of all, shared out among processes."""

from __future__ import annotations

import gc
import multiprocessing
import os
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from itertools import count
from multiprocessing.connection import wait
from threading import Thread
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime
    from pathlib import Path

    from backbearing.records import Subject
    from backbearing.writers.page.together import Together

OVERVIEW = "overview.html"
_MOST_PROCESSES = 8  # some 250 MB each
_PAGES_A_SWEEP = 8  # garbage, some 3 MB a page, is gathered now and then
_made = count(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnePage:
    """A page to be made: of which subjects, where it goes, and what stands beside it."""

    names: tuple[str, ...]
    target: Path
    together: Together


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What all pages are asked for, so that each comes out the same in any process."""

    notebook: Path
    now: datetime
    base_map_url: str | None
    page: dict[str, Any]  # as `ask_page` takes it


def pages_of(folder: Path, subjects: Sequence[Subject], names: Sequence[str]) -> list[OnePage]:
    """The overview and then a page for each subject, in files named by the subjects' numbers."""
    from backbearing.writers.page.together import Together

    files = [f"subject-{subject.id}.html" for subject in subjects]
    beside = tuple(zip((subject.name for subject in subjects), files, strict=True))
    overview = OnePage(
        names=tuple(names), target=folder / OVERVIEW, together=Together(overview="", pages=beside)
    )
    found = [overview]
    for number, (name, file) in enumerate(beside):
        near = (*beside[max(0, number - 1) : number], *beside[number + 1 : number + 2])
        together = Together(overview=OVERVIEW, pages=near)
        found.append(OnePage(names=(name,), target=folder / file, together=together))
    return found


def make_pages(
    pages: Sequence[OnePage],
    asked: Asked,
    *,
    processes: int | None,
    progress: Callable[[str], None],
) -> None:
    """Make and write these pages.

    processes: None for as many as there are cores, with a page each at least.
    Raises as `ask_page` does, and BackbearingError where a helping process is lost.
    """
    from backbearing.errors import BackbearingError
    from backbearing.plans.processes import cores, deaf_to_interrupts

    shared_by = min(processes or min(cores(), _MOST_PROCESSES), len(pages))
    if shared_by == 1:
        for number, page in enumerate(pages):
            progress(f"pages: {number} of {len(pages)}")
            make_page(page, asked)
        return
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(shared_by, mp_context=context, initializer=_begin) as helpers:
        with deaf_to_interrupts():
            made = [helpers.submit(make_page, page, asked) for page in pages]
        try:
            for number, each in enumerate(as_completed(made), start=1):
                each.result()
                progress(f"pages: {number} of {len(pages)}")
        except BrokenProcessPool as error:
            raise BackbearingError(
                "a helping process was lost, and not all pages were made",
                remedy="ask again, with --processes 1 if memory is short",
            ) from error
        finally:
            helpers.shutdown(cancel_futures=True)  # waits: none may be left behind


def _begin() -> None:
    """A helper whose parent was killed would wait for work for ever: it ends."""
    from backbearing.plans.processes import collect_seldom

    collect_seldom()
    parent = multiprocessing.parent_process()
    if parent is not None:
        Thread(target=_outlive, args=(parent.sentinel,), daemon=True).start()


def _outlive(parent: int) -> None:
    wait([parent])
    os._exit(1)


def make_page(page: OnePage, asked: Asked) -> None:
    """Make one page and write it."""
    from backbearing.cli.otherdays import drawn_other_days
    from backbearing.notebook import open_notebook
    from backbearing.plans.pageasked import ask_page
    from backbearing.plans.settings import in_language
    from backbearing.writers.files import write_atomically
    from backbearing.writers.page import render_page

    with open_notebook(asked.notebook) as notebook, in_language(notebook):
        found = ask_page(notebook, page.names, now=asked.now, **asked.page)
        html = render_page(
            found,
            base_map_url=asked.base_map_url,
            together=page.together,
            other_days=drawn_other_days(notebook, found, asked.page),
        )
    write_atomically(page.target, html)
    if next(_made) % _PAGES_A_SWEEP == 0:
        gc.collect()
