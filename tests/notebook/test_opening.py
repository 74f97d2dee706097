"""Opening: what is made, what is refused untouched, and what is only ever read."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from tests.notebook import samples

from backbearing.errors import (
    BadFile,
    NotebookBusy,
    NotebookError,
    NotebookReadOnly,
    NotebookTooNew,
    NotFound,
)
from backbearing.notebook import open_notebook, schema, sqlite_file, trust
from backbearing.notebook.subjects import add_subject, list_subjects


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def raw(path: Path) -> sqlite3.Connection:
    """The file as another program sees it."""
    return sqlite3.connect(path, isolation_level=None)


@pytest.fixture
def made(path: Path) -> Path:
    with open_notebook(path, create=True) as notebook, notebook.writing():
        add_subject(notebook, samples.subject())
    return path


# ---------------------------------------------------------------- making one


def test_where_there_is_none_the_way_to_one_is_named(path: Path) -> None:
    with pytest.raises(NotFound, match=r"backbearing import.*backbearing mark"):
        open_notebook(path)
    assert not path.exists()


def test_it_is_made_with_its_folder_for_the_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "n.gpkg"
    old = os.umask(0)
    try:
        with open_notebook(path, create=True) as notebook, notebook.writing():
            add_subject(notebook, samples.subject())
            journal = path.with_name("n.gpkg-journal")
            assert mode(journal) == 0o600  # the journal holds the same positions
    finally:
        os.umask(old)
    assert mode(path) == 0o600
    assert sorted(p.name for p in path.parent.iterdir()) == ["n.gpkg"]


def test_a_folder_that_cannot_be_made_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(NotebookError, match="cannot be made"):
        open_notebook(tmp_path / "file" / "n.gpkg", create=True)


def test_each_commit_reaches_the_disk_and_one_file_is_all(path: Path) -> None:
    with open_notebook(path, create=True) as notebook:
        assert notebook.rows("PRAGMA synchronous")[0][0] == 2  # FULL
        assert notebook.rows("PRAGMA journal_mode")[0][0] == "delete"
        assert notebook.rows("PRAGMA foreign_keys")[0][0] == 1


# ---------------------------------------------------------------- what is refused untouched


def other_database(path: Path) -> None:
    with raw(path) as other:
        other.execute("CREATE TABLE t (a)")
    other.close()


def other_geopackage(path: Path) -> None:
    with raw(path) as other:
        other.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        other.execute("CREATE TABLE gpkg_contents (table_name TEXT)")
    other.close()


def view_for_a_table(path: Path) -> None:
    """A view in place of a table would run its query, however long, on every read."""
    open_notebook(path, create=True).close()
    with raw(path) as other:
        other.execute("DROP TABLE settings")
        other.execute("CREATE VIEW settings AS SELECT 'zone' AS key, 'x' AS value")
    other.close()


def computed_column(path: Path) -> None:
    open_notebook(path, create=True).close()
    with raw(path) as other:
        other.execute("ALTER TABLE subjects ADD COLUMN x AS (upper(name))")
    other.close()


def missing_table(path: Path) -> None:
    open_notebook(path, create=True).close()
    with raw(path) as other:
        other.execute("DROP TABLE notes")
    other.close()


@pytest.mark.parametrize(
    "make",
    [
        lambda path: path.write_text("14:32 seen winding house\n"),
        lambda path: path.write_bytes(b""),
        lambda path: path.write_bytes(b"SQLite format 3\x00" + bytes(200)),
        lambda path: path.mkdir(),
        other_database,
        other_geopackage,
        view_for_a_table,
        computed_column,
        missing_table,
    ],
    ids=["text", "empty", "zeros", "folder", "database", "geopackage", "view", "computed", "gap"],
)
def test_what_is_no_notebook_is_refused_and_left_as_it_is(path: Path, make) -> None:  # type: ignore[no-untyped-def]
    make(path)
    before = path.read_bytes() if path.is_file() else None
    for create in (False, True):
        with pytest.raises(BadFile, match="notebook") as refused:
            open_notebook(path, create=create)
        assert refused.value.exit_code == 2
    assert (path.read_bytes() if path.is_file() else None) == before
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_newer_notebook_is_left_byte_for_byte(made: Path) -> None:
    with raw(made) as other:
        other.execute("INSERT INTO backbearing_schema VALUES (999, 'from the future', '')")
    other.close()
    before = made.read_bytes()
    for readonly in (False, True):
        with pytest.raises(NotebookTooNew, match=r"schema 999.*bring Backbearing up to date"):
            open_notebook(made, readonly=readonly)
    assert made.read_bytes() == before
    assert [p.name for p in made.parent.iterdir()] == [made.name]


def test_a_newer_notebook_with_a_log_beside_it_keeps_both(made: Path) -> None:
    leave_a_log(made, "INSERT INTO backbearing_schema VALUES (999, 'from the future', '')")
    log = made.with_name(made.name + "-wal")
    before = made.read_bytes(), log.read_bytes()
    with pytest.raises(NotebookTooNew):
        open_notebook(made)
    assert (made.read_bytes(), log.read_bytes()) == before


# ---------------------------------------------------------------- only read


def test_a_notebook_opened_for_reading_takes_no_writes(made: Path) -> None:
    with open_notebook(made, readonly=True) as notebook:
        assert notebook.readonly
        with pytest.raises(NotebookReadOnly, match="asked to be"), notebook.writing():
            pass
        with pytest.raises(sqlite3.OperationalError):
            notebook.connection.execute("DELETE FROM subjects")
        assert len(list_subjects(notebook)) == 1


def test_another_users_notebook_is_read_and_not_written(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    owner = made.stat().st_uid
    monkeypatch.setattr(trust.os, "geteuid", lambda: owner + 1)
    with open_notebook(made) as notebook:
        assert len(list_subjects(notebook)) == 1
        with pytest.raises(NotebookReadOnly, match="belongs to another user"), notebook.writing():
            pass


def test_a_file_that_may_not_be_written_is_read(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trust.os, "access", lambda path, how: False)
    with open_notebook(made) as notebook:
        assert len(list_subjects(notebook)) == 1
        with pytest.raises(NotebookReadOnly, match="may not be written"), notebook.writing():
            pass


@pytest.mark.parametrize(
    "code",
    [
        "CREATE TRIGGER t AFTER INSERT ON subjects BEGIN DELETE FROM notes; END",
        # in the words of a spatial index, but emptying the layer itself
        "CREATE TRIGGER rtree_subjects_geom_insert AFTER INSERT ON subjects "
        "BEGIN DELETE FROM subjects WHERE id; END",
        "CREATE TRIGGER rtree_subjects_geom_insert AFTER INSERT ON subjects "
        "BEGIN SELECT load_extension('x'); END",
        "CREATE TRIGGER t AFTER UPDATE ON gpkg_contents BEGIN DELETE FROM subjects; END",
        "CREATE TABLE gpkg_ogr_contents (feature_count INTEGER CHECK (random()))",
        "CREATE INDEX i ON subjects (lower(name))",
        "CREATE INDEX i ON subjects (name) WHERE name > 'a'",
        "ALTER TABLE subjects ADD COLUMN x INTEGER CHECK (x > random())",
    ],
)
def test_a_file_that_brings_code_along_is_read_with_an_untrusted_schema(
    made: Path, code: str
) -> None:
    with raw(made) as other:
        other.execute(code)
    other.close()
    before = made.read_bytes()
    with open_notebook(made) as notebook:
        assert notebook.rows("PRAGMA trusted_schema")[0][0] == 0
        assert notebook.rows("PRAGMA query_only")[0][0] == 1
        assert notebook.rows("PRAGMA cell_size_check")[0][0] == 1
        assert len(list_subjects(notebook)) == 1
        with (
            pytest.raises(NotebookReadOnly, match="neither Backbearing nor a spatial index"),
            notebook.writing(),
        ):
            pass
        # the functions that its triggers might call are not there
        with pytest.raises(NotebookError):
            notebook.rows("SELECT ST_MinX(geom) FROM subjects")
    assert made.read_bytes() == before


@pytest.mark.parametrize(
    "harmless",
    [
        "ALTER TABLE subjects ADD COLUMN colour TEXT(20)",
        "CREATE INDEX by_state ON subjects (state, name)",
        "CREATE TABLE layer_styles (id INTEGER PRIMARY KEY, style TEXT)",
        "CREATE VIEW made_ones AS SELECT * FROM subjects WHERE state = 'made'",
    ],
)
def test_what_a_gis_adds_leaves_it_ours(made: Path, harmless: str) -> None:
    with raw(made) as other:
        other.execute(harmless)
    other.close()
    with open_notebook(made) as notebook:
        with notebook.writing():
            add_subject(notebook, samples.subject("Arch"))
        assert len(list_subjects(notebook)) == 2


def test_an_older_notebook_of_a_stranger_is_read_as_if_it_were_new(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with raw(made) as other:
        other.execute("CREATE TRIGGER t AFTER INSERT ON subjects BEGIN SELECT 1; END")
    other.close()
    before = made.read_bytes()
    trust._own_statements.cache_clear()
    monkeypatch.setattr(
        schema,
        "MIGRATIONS",
        [*schema.MIGRATIONS, ("colour", lambda c: c.execute("ALTER TABLE subjects ADD x TEXT"))],
    )
    with open_notebook(made) as notebook:
        assert notebook.readonly
        assert notebook.rows("SELECT x FROM subjects")[0]["x"] is None
    assert made.read_bytes() == before
    trust._own_statements.cache_clear()


# ---------------------------------------------------------------- a log that a GIS left behind


def leave_a_log(path: Path, sql: str) -> None:
    """Write in write-ahead mode and die before the log is folded in."""
    code = (
        "import os, sqlite3, sys\n"
        "c = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
        "c.execute('PRAGMA journal_mode = WAL'); c.execute(sys.argv[2]); os._exit(0)"
    )
    subprocess.run([sys.executable, "-c", code, str(path), sql], check=True)
    assert path.with_name(path.name + "-wal").stat().st_size > 0


def test_a_log_left_behind_is_folded_back_into_the_file(made: Path) -> None:
    leave_a_log(made, "UPDATE subjects SET words = 'seen from the ridge'")
    with open_notebook(made) as notebook:
        assert [s.words for s in list_subjects(notebook)] == ["seen from the ridge"]
        assert notebook.rows("PRAGMA journal_mode")[0][0] == "delete"
    assert [p.name for p in made.parent.iterdir()] == [made.name]


def test_while_the_other_program_is_open_its_log_is_used(made: Path) -> None:
    other = raw(made)
    other.execute("PRAGMA journal_mode = WAL")
    other.execute("UPDATE subjects SET words = 'one'")
    with open_notebook(made) as notebook:
        assert [s.words for s in list_subjects(notebook)] == ["one"]
        with notebook.writing():
            add_subject(notebook, samples.subject("Arch"))
    assert other.execute("SELECT count(*) FROM subjects").fetchone() == (2,)
    other.close()


def test_a_log_is_read_in_a_strangers_notebook_and_stays(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    leave_a_log(made, "UPDATE subjects SET words = 'seen from the ridge'")
    before = made.read_bytes()
    monkeypatch.setattr(trust.os, "access", lambda path, how: False)
    with open_notebook(made) as notebook:
        assert [s.words for s in list_subjects(notebook)] == ["seen from the ridge"]
    assert made.read_bytes() == before


# ---------------------------------------------------------------- one at a time


def test_a_writer_that_cannot_wait_longer_says_so_and_changes_nothing(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite_file, "BUSY_TIMEOUT_S", 0.05)
    with open_notebook(made) as notebook:
        other = raw(made)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(NotebookBusy, match="another program"), notebook.writing():
            pass
        assert len(list_subjects(notebook)) == 1  # reading goes on
        other.execute("ROLLBACK")
        with notebook.writing():
            add_subject(notebook, samples.subject("Arch"))
        other.close()


def test_a_commit_that_a_reader_holds_up_is_undone_whole(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite_file, "BUSY_TIMEOUT_S", 0.05)
    with open_notebook(made) as notebook:
        other = raw(made)
        other.execute("BEGIN")
        other.execute("SELECT * FROM subjects").fetchall()
        with pytest.raises(NotebookBusy), notebook.writing():
            add_subject(notebook, samples.subject("Arch"))
        other.execute("ROLLBACK")
        other.close()
        assert not notebook.connection.in_transaction
        assert [s.name for s in list_subjects(notebook)] == ["Winding house"]


def test_an_exception_inside_undoes_all_of_it(made: Path) -> None:
    with open_notebook(made) as notebook:

        def broken_off() -> None:
            with notebook.writing():
                add_subject(notebook, samples.subject("Arch"))
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            broken_off()
        assert [s.name for s in list_subjects(notebook)] == ["Winding house"]
        with notebook.writing(), pytest.raises(RuntimeError), notebook.writing():
            pass
