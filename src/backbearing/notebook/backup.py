"""A safe copy of the notebook, while others may be using it."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.notebook import trust
from backbearing.notebook.connection import place_new
from backbearing.notebook.faults import own_errors

if TYPE_CHECKING:
    from backbearing.notebook.connection import Notebook


@dataclass(frozen=True, slots=True, kw_only=True)
class Copied:
    """A copy's size, and what of the notebook is not in it: triggers and indexes a stranger put
    there, for which the notebook itself is only read."""

    size_bytes: int
    left_out: tuple[str, ...]


def backup(notebook: Notebook, target: Path | str) -> Copied:
    """Copy the notebook to a new file of mode 0600, whole or not at all.

    SQLite's own backup: what others write meanwhile is either all in it or not at all. The
    copy needs no log beside it, whatever the notebook itself has, and takes no foreign code
    along, so that it can be written.

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
        left_out = _copy(notebook, temporary)
        place_new(temporary, target)
    except FileExistsError:
        raise taken from None
    finally:
        temporary.unlink(missing_ok=True)
    return Copied(size_bytes=target.stat().st_size, left_out=tuple(left_out))


def _copy(notebook: Notebook, temporary: Path) -> list[str]:
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
                copy.execute("PRAGMA trusted_schema = OFF")
                left_out = trust.drop_foreign_code(copy)
            finally:
                copy.close()
    finally:
        notebook.rows("ROLLBACK")
    with temporary.open("rb") as file:
        os.fsync(file.fileno())
    return left_out
