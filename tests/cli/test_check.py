"""`check` says what is wrong and its exit status says whether anything is."""

from __future__ import annotations

import json
import sqlite3
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.notebook import samples

from backbearing.cli.main import main
from backbearing.errors import NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as notebook, notebook.writing():
        add_subject(notebook, samples.subject())
    return path


def check(path: Path, *options: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", str(path), "check", *options])


def spoil(path: Path) -> None:
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("UPDATE subjects SET name = '\x1b[31mred', state = 'lost'")
    other.close()


def test_all_well_is_one_line_and_status_0(path: Path) -> None:
    result = check(path)
    assert result.exit_code == 0
    assert result.stdout == f"{path}: nothing wrong (1 subject)\n"


def test_a_fault_is_a_line_with_its_place_and_remedy_and_status_1(path: Path) -> None:
    spoil(path)
    result = check(path)
    assert result.exit_code == 1
    first, last = result.stdout.splitlines()
    assert first.startswith("fault: subjects, row 1: its state is not one of: seen")
    assert last == f"{path}: 1 fault, no remarks"
    assert "\x1b" not in result.stdout


def test_a_remark_alone_is_status_0(path: Path) -> None:
    result = check(path.rename(path.with_suffix(".db")))
    assert result.exit_code == 0
    assert "remark: GeoPackage, requirement 3" in result.stdout


@pytest.mark.parametrize("spoilt", [False, True])
def test_json_is_what_its_schema_says(path: Path, spoilt: bool) -> None:
    if spoilt:
        spoil(path)
    answer = json.loads(check(path, "--json").stdout)
    schema = json.loads(files("backbearing.schemas").joinpath("check.json").read_text("utf-8"))
    jsonschema.validate(answer, schema)
    assert answer["sound"] is not spoilt
    assert bool(answer["findings"]) is spoilt


def test_where_there_is_no_notebook_it_says_so(tmp_path: Path) -> None:
    result = check(tmp_path / "none.gpkg")
    assert isinstance(result.exception, NotFound)
    assert not (tmp_path / "none.gpkg").exists()
