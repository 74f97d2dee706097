"""`note` as it is typed."""

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound

SCHEMA = json.loads((files("backbearing.schemas") / "note.json").read_text(encoding="utf-8"))


def run(notebook: Path, *arguments: str) -> str:
    result = CliRunner().invoke(main, ["--notebook", str(notebook), *arguments])
    if result.exception is not None:
        raise result.exception
    return result.stdout


def test_a_note_is_added_and_said(tmp_path: Path) -> None:
    notebook = tmp_path / "n.gpkg"
    run(notebook, "mark", "arch", "--at", "47.00000 N 21.00000 W")
    assert "arch: noted at" in run(notebook, "note", "Arch", "drum still turns")
    answer = json.loads(run(notebook, "note", "arch", "bring a rope", "--json"))
    jsonschema.validate(answer, SCHEMA)
    assert answer["note"]["text"] == "bring a rope"


def test_what_cannot_be_noted(tmp_path: Path) -> None:
    notebook = tmp_path / "n.gpkg"
    with pytest.raises(NotFound, match="import"):
        run(notebook, "note", "arch", "x")  # no notebook yet: the remedy names what makes one
    run(notebook, "mark", "arch", "--at", "47.00000 N 21.00000 W")
    with pytest.raises(NotFound, match="did you mean 'arch'"):
        run(notebook, "note", "arhc", "x")
    with pytest.raises(BadInput, match="nothing to note"):
        run(notebook, "note", "arch", "  ")
