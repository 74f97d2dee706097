"""A safe copy of the notebook, while others may be using it."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.notebook.connection import place_new
from backbearing.notebook.faults import own_errors

if TYPE_CHECKING:
    from backbearing.notebook.connection import Notebook


def backup(notebook: Notebook, target: Path | str) -> int:
    """Copy the notebook to a new file of mode 0600, whole or not at all; its size [bytes].

    SQLite's own backup: what others write meanwhile is either all in it or not at all. The
    copy needs no log beside it, whatever the notebook itself has.

    Raises BadInput where something already stands at `target` or it cannot be written there,
    NotebookError where the notebook cannot be read or the room is short.
    """
    target = Path(target)
    where = quoted(target, 200)
    taken = BadInput(
        "something already stands there", where=where, remedy="name a file that does not exist"
    )
    if target.exists() or target.is_symlink():
        raise taken
    try:
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
        os.close(handle)
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})",
            where=where,
            remedy="name a folder that exists and that you may write to",
        ) from error
    temporary = Path(name)
    try:
        _copy(notebook, temporary)
        place_new(temporary, target)
    except FileExistsError:
        raise taken from None
    finally:
        temporary.unlink(missing_ok=True)
    return target.stat().st_size


def _copy(notebook: Notebook, temporary: Path) -> None:
    source = notebook.connection
    # hold a read lock throughout: Python's backup would otherwise wait for a writer for ever,
    # and start again each time another program writes
    notebook.rows("BEGIN")
    try:
        notebook.rows("SELECT 1 FROM sqlite_master LIMIT 1")
        with own_errors(temporary):
            copy = sqlite3.connect(temporary, isolation_level=None)
            try:
                source.backup(copy)
                copy.execute("PRAGMA synchronous = FULL")
                copy.execute("PRAGMA journal_mode = DELETE").fetchone()
            finally:
                copy.close()
    finally:
        notebook.rows("ROLLBACK")
    with temporary.open("rb") as file:
        os.fsync(file.fileno())
