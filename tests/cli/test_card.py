"""`card`: on the terminal, or as a sheet in a file."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.readers.noteline import read_line
from backbearing.writers.card import EXAMPLE


def test_plain_text_without_a_file() -> None:
    result = CliRunner().invoke(main, ["card"])
    assert result.exit_code == 0
    assert result.stdout.startswith("FIELD CARD")


def test_a_sheet_to_print(tmp_path: Path) -> None:
    target = tmp_path / "cards.html"
    result = CliRunner().invoke(main, ["card", "--out", str(target), "--paper", "letter"])
    assert result.exit_code == 0
    assert result.stdout == ""
    assert "size: Letter" in target.read_text(encoding="utf-8")
    again = CliRunner().invoke(main, ["card", "--out", str(target)])
    assert isinstance(again.exception, BadInput)
    assert CliRunner().invoke(main, ["card", "--out", str(target), "--overwrite"]).exit_code == 0


def test_the_example_on_the_card_is_one_the_reader_understands() -> None:
    read = read_line(EXAMPLE, latest=date(2026, 7, 1))
    assert not read.kept
    assert not read.problems


@pytest.mark.parametrize(
    ("written", "field"),
    [
        ("sky memory", "sky"),
        ("sky trees", "sky"),
        ("left bank of the leat", "side"),
        ("215M 8m paced", "measured"),
        ("edges 205M 225M", "left edge"),
        ("back to knoll 300M", "sighting"),
        ("left the path at the cairn", "left the path"),
        ("last sure feature the gate", "last sure"),
        ("not lit", "lit"),
        ("wind light", "wind"),
        ("water low", "water"),
        ("snow patches", "snow"),
        ("photo 12 facing it", "photo"),
    ],
)
def test_what_the_card_asks_for_can_be_typed_in_its_own_words(written: str, field: str) -> None:
    read = read_line(f"14:32 seen arch, {written}", latest=date(2026, 7, 1))
    assert field in [item.field for item in read.items]
    assert not read.problems
