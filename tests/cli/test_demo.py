"""`demo` on the command line: says what it did, how to do it oneself, and what to open."""

from __future__ import annotations

import re
import shlex
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


def test_it_makes_the_page_and_names_it_last(here: Path) -> None:
    done = demo("--out", "island", "--date", "2026-03-14")
    assert done.exit_code == 0, done.output
    last = done.stdout.strip().splitlines()[-1]
    assert last == f"Open {Path('island') / 'return.html'}"
    page = (here / "island" / "return.html").read_text(encoding="utf-8")
    assert "winding house" in page
    assert "2026" in page
    made = {p.name for p in (here / "island").iterdir()}
    assert made == {
        "island.gpkg",
        "return.html",
        "sheet.html",
        "subjects.gpx",
        "made-by-backbearing-demo.txt",
    }
    # nothing beside it, and no notebook of the user's
    assert [p.name for p in here.iterdir()] == ["island"]


def test_the_commands_it_names_do_the_same_job(here: Path) -> None:
    """Typed one after another on a fresh notebook they give the same page, byte for byte."""
    done = demo("--out", "island", "--date", "2026-03-14")
    typed = [shlex.split(line) for line in re.findall(r"\$ (backbearing .*)", done.stdout)]
    assert [words[3] for words in typed] == [
        *("setting", "setting", "import", "want"),
        *("terrain", "passage", "kit", "plate", "light"),
        *("setting", "outing", "sheet", "map", "export"),
    ]
    page = (here / "island" / "return.html").read_bytes()
    for name in ("island.gpkg", "return.html", "sheet.html", "subjects.gpx"):
        (here / "island" / name).unlink()
    from backbearing.cli.demo import _added, _options
    from backbearing.plans.demo import PASSAGES, WISHES

    others = [
        [*typed[0][:3], "want", name, *_options(wish)] for name, wish in list(WISHES.items())[1:]
    ]
    others += [[*typed[0][:3], *_added(passage)] for passage in PASSAGES]
    for words in (*typed[:4], *others, *typed[4:]):
        again = CliRunner().invoke(main, words[1:])
        assert again.exit_code == 0, (words, again.output)
    assert (here / "island" / "return.html").read_bytes() == page


def test_it_runs_twice_but_not_over_files_of_the_users(here: Path) -> None:
    assert demo("--out", "island", "--date", "2026-03-14").exit_code == 0
    assert demo("--out", "island", "--date", "2026-03-15").exit_code == 0
    (here / "island" / "diary.txt").write_text("mine")
    refused = demo("--out", "island")
    assert refused.exit_code != 0
    assert "diary.txt" in str(refused.exception)


def test_a_day_that_is_none_is_refused_before_anything_is_made(here: Path) -> None:
    refused = demo("--out", "island", "--date", "2026-02-30")
    assert refused.exit_code != 0
    assert "--date" in str(refused.exception)
    assert list(here.iterdir()) == []
