"""A backup is whole, alone, for the owner's eyes, and never in another file's place."""

from __future__ import annotations

import sqlite3
import stat
from pathlib import Path

import pytest
from tests.notebook import samples

from backbearing.errors import BadInput
from backbearing.notebook import Notebook, connection, open_notebook
from backbearing.notebook.backup import Copied, backup
from backbearing.notebook.integrity import check
from backbearing.notebook.subjects import add_subject, list_subjects


@pytest.fixture
def filled(notebook: Notebook) -> Notebook:
    with notebook.writing():
        add_subject(notebook, samples.subject())
    return notebook


def test_a_backup_is_a_notebook_with_the_same_on_record(filled: Notebook, tmp_path: Path) -> None:
    target = tmp_path / "copy.gpkg"
    assert backup(filled, target) == Copied(size_bytes=target.stat().st_size, left_out=())
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    with open_notebook(target) as copy:
        assert list_subjects(copy) == list_subjects(filled)
        assert check(copy) == []
    assert sorted(p.name for p in tmp_path.iterdir()) == ["copy.gpkg", "notebook.gpkg"]


def test_what_stands_there_is_never_written_over(filled: Notebook, tmp_path: Path) -> None:
    target = tmp_path / "copy.gpkg"
    target.write_text("mine")
    with pytest.raises(BadInput, match="already stands there"):
        backup(filled, target)
    assert target.read_text() == "mine"
    target.unlink()
    target.symlink_to(tmp_path / "nowhere")
    with pytest.raises(BadInput, match="already stands there"):
        backup(filled, target)
    with pytest.raises(BadInput, match="already stands there"):
        backup(filled, filled.path)


def test_a_file_that_appears_meanwhile_is_left_too(
    filled: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "copy.gpkg"
    monkeypatch.setattr(Path, "exists", lambda self: False)
    target.write_text("mine")
    with pytest.raises(BadInput, match="already stands there"):
        backup(filled, target)
    assert target.read_text() == "mine"


def test_a_disk_without_hard_links_will_do(
    filled: Notebook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A memory stick: link() fails there, and a file standing there is still not replaced."""

    def no_links(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr(connection.os, "link", no_links)
    target = tmp_path / "copy.gpkg"
    backup(filled, target)
    with open_notebook(target) as copy:
        assert len(list_subjects(copy)) == 1
    with pytest.raises(FileExistsError):
        connection.place_new(tmp_path / "other", target)


def test_a_folder_that_is_not_there_is_said(filled: Notebook, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="cannot be written"):
        backup(filled, tmp_path / "no" / "copy.gpkg")


def test_a_backup_while_another_program_writes_has_all_or_nothing_of_it(
    filled: Notebook, tmp_path: Path
) -> None:
    other = sqlite3.connect(filled.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    other.execute("UPDATE subjects SET words = 'half done'")
    backup(filled, tmp_path / "copy.gpkg")
    other.execute("COMMIT")
    other.close()
    with open_notebook(tmp_path / "copy.gpkg") as copy:
        assert [s.words for s in list_subjects(copy)] == [""]


def test_a_backup_of_a_notebook_in_write_ahead_mode_is_one_file(
    filled: Notebook, tmp_path: Path
) -> None:
    other = sqlite3.connect(filled.path, isolation_level=None)
    other.execute("PRAGMA journal_mode = WAL")
    other.execute("UPDATE subjects SET words = 'in the log'")
    target = tmp_path / "copy.gpkg"
    backup(filled, target)
    other.close()
    assert target.read_bytes()[18:20] == b"\x01\x01"  # rollback journal, says the header
    with open_notebook(target) as copy:
        assert [s.words for s in list_subjects(copy)] == ["in the log"]


@pytest.mark.parametrize(
    ("code", "left_out"),
    [
        (
            'CREATE TRIGGER "t""x" AFTER INSERT ON subjects BEGIN DELETE FROM notes; END',
            "the trigger 't\"x'",
        ),
        ("CREATE INDEX i ON subjects (lower(name))", "the index 'i'"),
    ],
)
def test_the_copy_of_a_notebook_that_is_only_read_for_its_code_can_be_written(
    filled: Notebook, tmp_path: Path, code: str, left_out: str
) -> None:
    other = sqlite3.connect(filled.path, isolation_level=None)
    other.execute(code)
    other.close()
    target = tmp_path / "copy.gpkg"
    with open_notebook(filled.path) as strange:
        assert strange.readonly
        assert backup(strange, target).left_out == (left_out,)
    with open_notebook(target) as copy:
        assert not copy.readonly
        with copy.writing():
            add_subject(copy, samples.subject("arch"))
        assert check(copy) == []
