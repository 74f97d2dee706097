"""`backup` makes a copy and never takes another file's place."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from click.testing import CliRunner
from tests.notebook import samples

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject, list_subjects


def test_a_copy_is_made_once(tmp_path: Path) -> None:
    path, target = tmp_path / "notebook.gpkg", tmp_path / "copy.gpkg"
    with open_notebook(path, create=True) as notebook, notebook.writing():
        add_subject(notebook, samples.subject())
    arguments = ["--notebook", str(path), "backup", str(target)]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 0
    assert result.stdout.startswith(f"{path} is copied to {target} (")
    with open_notebook(target) as copy:
        assert len(list_subjects(copy)) == 1
    before = target.read_bytes()
    again = CliRunner().invoke(main, arguments)
    assert isinstance(again.exception, BadInput)
    assert target.read_bytes() == before


def test_what_is_advised_for_a_notebook_that_is_only_read_works(tmp_path: Path) -> None:
    path, target = tmp_path / "notebook.gpkg", tmp_path / "copy.gpkg"
    open_notebook(path, create=True).close()
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("CREATE TRIGGER odd AFTER INSERT ON subjects BEGIN DELETE FROM notes; END")
    other.close()
    mark = ["mark", "arch", "--at", "47.0065 N 21.0005 W"]
    refused = CliRunner().invoke(main, ["--notebook", str(path), *mark])
    assert "backbearing backup" in str(refused.exception)
    said = CliRunner().invoke(main, ["--notebook", str(path), "backup", str(target)])
    assert "not copied: the trigger 'odd'" in said.stdout
    assert CliRunner().invoke(main, ["--notebook", str(target), *mark]).exit_code == 0
