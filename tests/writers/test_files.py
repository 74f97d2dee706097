"""A file is replaced whole or not at all."""

import sqlite3
from pathlib import Path

import pytest

from backbearing.errors import BadInput, WriteError
from backbearing.writers.files import write_atomically


def test_it_replaces_and_leaves_nothing_beside(tmp_path: Path) -> None:
    target = tmp_path / "page.html"
    target.write_text("old")
    write_atomically(target, "new")
    assert target.read_text() == "new"
    assert list(tmp_path.iterdir()) == [target]


def test_it_keeps_what_stands_there_when_asked(tmp_path: Path) -> None:
    target = tmp_path / "out.gpx"
    target.write_text("old")
    with pytest.raises(BadInput, match="already stands there"):
        write_atomically(target, "new", overwrite=False)
    assert target.read_text() == "old"


def test_a_failure_half_way_keeps_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "page.html"
    target.write_text("old")

    def fail(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", fail)
    with pytest.raises(WriteError, match="No space"):
        write_atomically(target, "new")
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInput, match="cannot be written"):
        write_atomically(tmp_path / "file" / "page.html", "new")


def test_a_notebook_is_never_overwritten(tmp_path: Path) -> None:
    target = tmp_path / "places.gpx"
    sqlite3.connect(target).execute("CREATE TABLE t (x)").connection.close()
    before = target.read_bytes()
    with pytest.raises(BadInput, match="is a notebook"):
        write_atomically(target, "new")
    assert target.read_bytes() == before


@pytest.mark.parametrize("there", ["/dev/null", "."])
def test_a_device_or_a_folder_is_not_replaced(there: str) -> None:
    with pytest.raises(BadInput, match="not a file"):
        write_atomically(Path(there), "new")


def test_no_folder_is_made_unasked(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="the folder is not there; make it first"):
        write_atomically(tmp_path / "mpas" / "page.html", "new")
    assert list(tmp_path.iterdir()) == []
