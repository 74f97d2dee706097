"""SQLite's errors as this program's own: one sentence each, with what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from backbearing.errors import NotebookBusy, NotebookError, NotebookReadOnly, quoted

# primary result codes (low byte of the extended code): https://sqlite.org/rescode.html
_SENTENCES: dict[int, tuple[type[NotebookError], str, str]] = {
    sqlite3.SQLITE_BUSY: (
        NotebookBusy,
        "another program is writing in it",
        "wait until it is done and try again; nothing of this was kept",
    ),
    sqlite3.SQLITE_LOCKED: (
        NotebookBusy,
        "another program is writing in it",
        "wait until it is done and try again; nothing of this was kept",
    ),
    sqlite3.SQLITE_READONLY: (
        NotebookReadOnly,
        "it cannot be written",
        "make the file and its folder writable, or copy it and use the copy",
    ),
    sqlite3.SQLITE_PERM: (
        NotebookReadOnly,
        "it cannot be written",
        "make the file and its folder writable, or copy it and use the copy",
    ),
    sqlite3.SQLITE_AUTH: (
        NotebookReadOnly,
        "it is open for reading only",
        "copy it and use the copy",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        NotebookError,
        "it cannot be opened",
        "see that its folder exists and may be read and written, and that a '-wal' file that "
        "belongs to it lies beside it",
    ),
    sqlite3.SQLITE_FULL: (
        NotebookError,
        "there is no room left to write; nothing of this was kept",
        "free some space and try again",
    ),
    sqlite3.SQLITE_IOERR: (
        NotebookError,
        "the disk could not be read or written",
        "check the disk and the cable, and copy the file while it can still be read",
    ),
    sqlite3.SQLITE_CORRUPT: (
        NotebookError,
        "the file is damaged",
        "run 'backbearing check' on it, and go back to a backup",
    ),
    sqlite3.SQLITE_NOTADB: (
        NotebookError,
        "the file is damaged or no notebook",
        "name another file, or go back to a backup",
    ),
    sqlite3.SQLITE_TOOBIG: (
        NotebookError,
        "a value is larger than a notebook takes",
        "import the file in smaller parts",
    ),
    sqlite3.SQLITE_NOMEM: (
        NotebookError,
        "there is not enough memory",
        "close other programs and try again",
    ),
    sqlite3.SQLITE_CONSTRAINT: (
        NotebookError,
        "the change breaks a rule of the notebook; nothing of this was kept",
        "run 'backbearing check' on it",
    ),
    sqlite3.SQLITE_SCHEMA: (
        NotebookError,
        "its tables were changed by another program meanwhile",
        "try again",
    ),
}


def as_notebook_error(error: sqlite3.Error, path: Path | str) -> NotebookError:
    """The sentence for one SQLite error; SQLite's own words are kept where no code is known."""
    code = getattr(error, "sqlite_errorcode", None)
    kind, what, remedy = _SENTENCES.get(
        -1 if code is None else code & 0xFF,
        (
            NotebookError,
            f"the database refused ({quoted(error, 120)})",
            "run 'backbearing check' on it",
        ),
    )
    return kind(what, where=f"notebook {quoted(path, 200)}", remedy=remedy)


@contextmanager
def own_errors(path: Path | str) -> Iterator[None]:
    """Everything SQLite raises inside leaves as a NotebookError."""
    try:
        yield
    except sqlite3.Error as error:
        raise as_notebook_error(error, path) from error
