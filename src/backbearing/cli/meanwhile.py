"""A page's planned day, worked out by a second process while this one gathers the rest.

The ways of a day are kept in the user's cache folder: this process finds them there. So nothing
hangs on the second one. Where it is lost, or was never started, this one works them out itself.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import sys
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from subprocess import DEVNULL, PIPE, Popen
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime
    from pathlib import Path

    from backbearing.notebook import Notebook


@dataclass(frozen=True, slots=True, kw_only=True)
class PageAsked:
    """What the page is of, as it was typed."""

    notebook: Path
    names: tuple[str, ...]
    now: datetime
    typed: dict[str, Any]

    def name(self) -> str:
        """Of the note that its day is kept: for the same words and the same notebook."""
        from backbearing.plans.ownfolder import code_stamp

        found = self.notebook.stat()
        told = (code_stamp(), str(self.notebook.absolute()), found.st_size, found.st_mtime_ns)
        words = (self.names, self.now.date(), sorted(self.typed.items()))
        return f"day-{hashlib.sha256(repr((told, words)).encode('utf-8')).hexdigest()[:40]}"


@contextmanager
def day_meanwhile(notebook: Notebook, asked: PageAsked) -> Iterator[Callable[[], object]]:
    """Have the day worked out meanwhile, where that pays; yields what waits until it is.

    It pays where a way over terrain has to be found first, and there is a core for it.
    """
    from backbearing.plans.processes import cores

    if cores() < 2 or not _dear(notebook, asked):
        yield lambda: None
        return
    try:
        process = _second_process(asked)
    except OSError:  # no more processes are to be had
        yield lambda: None
        return
    try:
        yield process.wait
    finally:
        process.kill()  # none is left behind; mostly it ended long ago
        process.wait()


def _second_process(asked: PageAsked) -> Popen[bytes]:
    """A Python of its own that is asked this, away from the terminal and its Ctrl-C."""
    code = f"from {__name__} import keep_day_asked; keep_day_asked()"
    process = Popen(  # noqa: S603 - ourselves; -P: nothing of the folder one stands in is imported
        [sys.executable, "-P", "-c", code],
        stdin=PIPE,
        stdout=DEVNULL,
        stderr=DEVNULL,
        start_new_session=True,
    )
    with suppress(OSError), process.stdin as line:  # type: ignore[union-attr]  # it may be gone
        line.write(pickle.dumps(asked))
    return process


def _dear(notebook: Notebook, asked: PageAsked) -> bool:
    from backbearing.notebook.terrain import list_layers
    from backbearing.plans.ownfolder import own_folder, read_own
    from backbearing.plans.settings import start_setting

    if asked.typed.get("start") is None and start_setting(notebook) is None:
        return False
    if own_folder() is None or not list_layers(notebook):
        return False
    return read_own(asked.name()) is None


def note_kept(asked: PageAsked) -> None:
    """Put down that this page was made, so that the next is not helped for nothing."""
    from backbearing.plans.ownfolder import keep_own

    with suppress(OSError):
        keep_own(asked.name(), b"")


def keep_day_asked() -> None:
    """What the second process does. What goes wrong in it goes wrong in the first too, and is told
    there."""
    from backbearing.notebook import open_notebook
    from backbearing.plans.pageasked import keep_day
    from backbearing.plans.processes import collect_seldom
    from backbearing.plans.settings import in_language

    collect_seldom()
    asked = pickle.load(sys.stdin.buffer)  # noqa: S301 - from the first process
    with open_notebook(asked.notebook) as notebook, in_language(notebook):
        keep_day(notebook, asked.names, now=asked.now, **asked.typed)
    os._exit(0)  # as `cli.main.start` ends: the first process waits
