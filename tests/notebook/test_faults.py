"""Every error SQLite can raise leaves as one of ours, in one sentence that says what to do."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from tests.notebook import samples

from backbearing.errors import NotebookBusy, NotebookError, NotebookReadOnly
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.faults import as_notebook_error, own_errors
from backbearing.notebook.subjects import add_subject, list_subjects

CODES = sorted(
    name
    for name in dir(sqlite3)
    if name.startswith("SQLITE_")
    and name.isupper()
    and getattr(sqlite3, name) in range(1, 27)
    # names of limits, authoriser answers and actions share these small numbers
    and not name.startswith(("SQLITE_LIMIT", "SQLITE_CREATE", "SQLITE_DROP", "SQLITE_DBCONFIG"))
)


def raised(code: int) -> sqlite3.OperationalError:
    error = sqlite3.OperationalError("in SQLite's own words")
    error.sqlite_errorcode = code
    return error


@pytest.mark.parametrize("name", CODES)
def test_each_code_becomes_a_sentence(name: str) -> None:
    error = as_notebook_error(raised(getattr(sqlite3, name)), "n.gpkg")
    assert isinstance(error, NotebookError)
    assert str(error).startswith("notebook 'n.gpkg': ")
    assert error.remedy


@pytest.mark.parametrize(
    ("code", "kind"),
    [
        (sqlite3.SQLITE_BUSY, NotebookBusy),
        (sqlite3.SQLITE_BUSY_SNAPSHOT, NotebookBusy),
        (sqlite3.SQLITE_LOCKED, NotebookBusy),
        (sqlite3.SQLITE_READONLY, NotebookReadOnly),
        (sqlite3.SQLITE_READONLY_DBMOVED, NotebookReadOnly),
        (sqlite3.SQLITE_PERM, NotebookReadOnly),
    ],
)
def test_busy_and_read_only_are_told_apart(code: int, kind: type[NotebookError]) -> None:
    assert type(as_notebook_error(raised(code), "n.gpkg")) is kind


@pytest.mark.parametrize("kind", [sqlite3.Error, *sqlite3.Error.__subclasses__()])
def test_every_class_of_error_is_caught(kind: type[sqlite3.Error]) -> None:
    with pytest.raises(NotebookError), own_errors("n.gpkg"):
        raise kind("no code at all")


def test_a_full_disk_undoes_the_change_and_says_so(notebook: Notebook) -> None:
    """SQLite's own cap on pages stands in for the disk: it raises the same SQLITE_FULL."""
    (pages,) = notebook.rows("PRAGMA page_count")[0]
    notebook.rows(f"PRAGMA max_page_count = {pages + 2}")

    def fill() -> None:
        with notebook.writing():
            for number in range(1000):
                add_subject(notebook, samples.subject(f"{number} {'x' * 500}"))

    with pytest.raises(NotebookError, match=r"no room left.*free some space"):
        fill()
    assert list_subjects(notebook) == []


def test_a_damaged_file_is_named_as_that(notebook: Notebook, path: Path) -> None:
    with notebook.writing():
        for number in range(300):
            add_subject(notebook, samples.subject(f"subject {number}"))
    notebook.close()
    content = bytearray(path.read_bytes())
    content[8192:] = b"\xa5" * (len(content) - 8192)
    path.write_bytes(content)

    def read() -> None:
        with open_notebook(path) as damaged:
            list_subjects(damaged)

    with pytest.raises(NotebookError, match=r"damaged.*backup"):
        read()
