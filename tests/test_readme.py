"""The README's walk-through is run as it stands: each command works and answers as shown.

In a console block a line after `$ ` is a command; the lines below it must appear in its output in
that order. `…` alone stands for any lines, inside a line for any text.
"""

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from backbearing.cli.main import COMMANDS, main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def steps() -> list[tuple[str, list[str]]]:
    found: list[tuple[str, list[str]]] = []
    for block in re.findall(r"^```console\n(.*?)^```", README, re.S | re.M):
        for line in block.splitlines():
            if line.startswith("$ "):
                found.append((line[2:], []))
            else:
                found[-1][1].append(line)
    return found


def appears(shown: list[str], printed: list[str]) -> str:
    """'' where the shown lines stand in the printed ones in order, else the first that does not."""
    at = 0
    loose = False
    for line in shown:
        if line.strip() == "…":
            loose = True
            continue
        pattern = re.compile(".*".join(map(re.escape, line.split("…"))) + r"\s*$")
        span = printed[at:] if loose else printed[at : at + 1]
        hit = next((i for i, p in enumerate(span) if pattern.match(p)), None)
        if hit is None:
            return line
        at += hit + 1
        loose = False
    return ""


def test_the_walk_through_works_as_shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(ROOT / "demo_routes", tmp_path / "demo_routes")
    (tmp_path / "maps").mkdir()
    for ending in ("*.tif", "*.geojson"):
        for ground in (ROOT / "maps").glob(ending):
            shutil.copy(ground, tmp_path / "maps")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BACKBEARING_NOTEBOOK", "notebook.gpkg")
    ran = steps()
    assert len(ran) >= 12
    for command, shown in ran:
        program, *words = shlex.split(command)
        assert program == "backbearing"
        done = CliRunner().invoke(main, words, catch_exceptions=False)
        assert done.exit_code == 0, f"{command}\n{done.output}"
        missing = appears(shown, done.stdout.splitlines())
        assert not missing, f"{command}\nshown but not printed: {missing}\n{done.stdout}"


def test_every_command_is_in_the_table() -> None:
    table = "\n".join(line for line in README.splitlines() if line.startswith("| `"))
    assert {name for name in COMMANDS if f"`{name}`" not in table} == set()


def test_the_job_stands_first_and_the_pictures_are_there() -> None:
    title, paragraph = README.split("\n\n")[:2]
    assert title.startswith("# Backbearing")
    assert "return" in paragraph
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert pictures
    assert all((ROOT / picture).is_file() for picture in pictures)
    assert "make demo" in README
    assert "make test" in README
