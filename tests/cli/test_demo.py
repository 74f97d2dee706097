"""What `demo` refuses on the command line; `tests/test_wheel.py` runs it whole."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from backbearing.cli.main import main


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def demo(*words: str) -> Result:
    return CliRunner().invoke(main, ["demo", *words])


def test_it_does_not_run_over_files_of_the_users(demo_of_november: Path, here: Path) -> None:
    made = shutil.copytree(demo_of_november, here / "island")
    (made / "diary.txt").write_text("mine")
    before = {path.name: path.read_bytes() for path in made.iterdir()}
    refused = demo("--out", "island")
    assert refused.exit_code != 0
    assert "diary.txt" in str(refused.exception)
    assert {path.name: path.read_bytes() for path in made.iterdir()} == before


def test_nothing_is_looked_for_on_a_day_that_is_over(here: Path) -> None:
    refused = demo("--out", "island", "--date", "2026-10-17", "--lost")
    assert "is over" in str(refused.exception)
    assert list(here.iterdir()) == []


def test_a_day_that_is_none_is_refused_before_anything_is_made(here: Path) -> None:
    refused = demo("--out", "island", "--date", "2026-02-30")
    assert refused.exit_code != 0
    assert "--date" in str(refused.exception)
    assert list(here.iterdir()) == []
