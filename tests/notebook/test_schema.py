"""Migrations: in order, by name, each recorded in the transaction that makes it."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from backbearing.notebook import open_notebook, schema, trust
from backbearing.notebook.columns import read_instant


def bare(path: Path | str = ":memory:") -> sqlite3.Connection:
    return sqlite3.connect(path, isolation_level=None)


def described(connection: sqlite3.Connection) -> list[tuple[str, str]]:
    return sorted(
        connection.execute("SELECT name, sql FROM sqlite_master WHERE sql NOT NULL").fetchall()
    )


def test_each_step_is_recorded_by_number_name_and_time() -> None:
    connection = bare()
    assert schema.migrate(connection) == [name for name, _ in schema.MIGRATIONS]
    rows = connection.execute("SELECT version, name, applied_at FROM backbearing_schema").fetchall()
    assert [row[:2] for row in rows] == [
        (number, name) for number, (name, _) in enumerate(schema.MIGRATIONS, start=1)
    ]
    assert all(read_instant(row[2]) for row in rows)
    assert schema.migrate(connection) == []  # nothing is done twice
    connection.close()


def test_steps_are_numbered_in_their_names() -> None:
    """So that two developers who add a step each are told by the merge."""
    assert [name[:4] for name, _ in schema.MIGRATIONS] == [
        f"{number:04}" for number in range(1, len(schema.MIGRATIONS) + 1)
    ]


@pytest.mark.parametrize("released", range(1, len(schema.MIGRATIONS) + 1))
def test_every_released_version_comes_up_to_date(
    path: Path, released: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file made with the first steps only, then opened, is the same as a new one."""
    with monkeypatch.context() as older:
        older.setattr(schema, "MIGRATIONS", schema.MIGRATIONS[:released])
        made = bare(path)
        schema.migrate(made)
        made.close()
    open_notebook(path).close()
    fresh = bare()
    schema.migrate(fresh)
    opened = bare(path)
    assert described(opened) == described(fresh)
    opened.close()
    fresh.close()


def test_a_later_step_is_taken_when_an_own_notebook_is_opened_even_for_reading(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_notebook(path, create=True).close()
    later = ("9999 colour", lambda c: c.execute("ALTER TABLE subjects ADD COLUMN colour TEXT"))
    monkeypatch.setattr(schema, "MIGRATIONS", [*schema.MIGRATIONS, later])
    trust._own_statements.cache_clear()
    with open_notebook(path, readonly=True) as notebook:
        assert notebook.rows("SELECT colour FROM subjects") == []
        assert [row["name"] for row in notebook.rows("SELECT name FROM backbearing_schema")] == [
            name for name, _ in schema.MIGRATIONS
        ]
    trust._own_statements.cache_clear()


def test_a_step_that_fails_leaves_the_file_at_the_version_it_had(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_notebook(path, create=True).close()
    before, released = path.read_bytes(), len(schema.MIGRATIONS)

    def half(connection: sqlite3.Connection) -> None:
        connection.execute("ALTER TABLE subjects ADD COLUMN colour TEXT")
        connection.execute("INSERT INTO nowhere VALUES (1)")

    monkeypatch.setattr(schema, "MIGRATIONS", [*schema.MIGRATIONS, ("9999 half", half)])
    connection = bare(path)
    with pytest.raises(sqlite3.OperationalError):
        schema.migrate(connection)
    assert schema.schema_version(connection) == released
    connection.close()
    assert path.read_bytes() == before
