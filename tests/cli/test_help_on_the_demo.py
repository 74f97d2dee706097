"""Each example of these help pages, pasted one after another, runs on the demo's own records."""

import re
import shlex
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from backbearing.cli.main import main

ROOT = Path(__file__).parent.parent.parent
ASKED = ("expose", "focus", "frame", "trees", "want", "plate", "edit", "kit")


def run(*words: str) -> str:
    done = CliRunner().invoke(main, list(words))
    assert done.exit_code == 0, (words, done.output, done.exception)
    return done.stdout


@pytest.fixture
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo's notebook by its own commands, without the page and the sheet it ends with."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BACKBEARING_NOTEBOOK", "island.gpkg")
    run("setting", "zone", "Atlantic/Azores")
    run("import", str(ROOT / "demo_routes"))
    run("terrain", "add", *(str(each) for each in sorted((ROOT / "maps").glob("ground_*.tif"))))
    run("kit", "take", str(ROOT / "demo_routes" / "kit.toml"))
    run("plate", "load", "1", "2A", "--batch", "slate coating 4")
    return tmp_path


def examples(name: str) -> list[str]:
    """Those of a command, and after them those of the commands in it."""
    command = main.get_command(click.Context(main), name)
    assert command is not None
    within = command.commands.values() if isinstance(command, click.Group) else ()
    found = []
    for each in (command, *within):
        text = each.help or ""
        assert "Example:" in text, each.name
        found += re.findall(r"^\s*(backbearing .*)$", text, re.MULTILINE)
    assert found
    return found


def test_every_example_runs(demo: Path) -> None:
    for name in ASKED:
        for example in examples(name):
            typed, _, into = example.partition(" > ")
            shown = run(*shlex.split(typed)[1:])
            if into:
                (demo / into.strip()).write_text(shown, encoding="utf-8")


def test_a_wish_of_a_camera_position_begins_as_the_subjects(demo: Path) -> None:
    run("want", "winding house", "--sun", "--lit-from", "left")
    own = run("want", "winding house", "--from", "main", "--months", "Mar-Oct")
    for words in ("sun on it", "left", "Mar"):
        assert words in own


def test_trees_are_told_of_by_their_own_command(demo: Path) -> None:
    assert "Trees at winding house: none on record" in run("trees", "winding house")
    put = ("--tall", "12m", "--beyond", "15m")
    assert "12 m tall from 15 m away on" in run("trees", "winding house", *put)
    assert "none on record" in run("trees", "winding house", "--none")


def test_marks_of_the_demos_old_lens_head_the_table_with_their_f_numbers(demo: Path) -> None:
    run("focus", "--out", "focus.html")
    for shown in (run("focus"), (demo / "focus.html").read_text(encoding="utf-8")):
        assert "sharp at mark 64 (f/32)" in shown
        assert "sharp at f/16" in shown
        assert "uniform system" in shown
        assert "47 × 29" in shown


def test_a_turn_is_told_by_the_compass_and_the_sky_with_its_error(demo: Path) -> None:
    turned = run("frame", "winding house", "--turn", "10 % less on the right")
    assert re.search(r"to \d{3}° true \(\d{3}M\)", turned)
    assert re.search(r"Sky over the ground in the frame: \d+ % ± \d+ %", turned)
