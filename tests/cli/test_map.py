"""`map`: where the page goes, and what it refuses to replace."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from tests.readers.gpx_text import fix, gpx, track

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.plans.intake import import_files
from backbearing.records import Place, Subject


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    path = tmp_path / "kept" / "notebook.gpkg"
    path.parent.mkdir()
    place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given")
    with open_notebook(path, create=True) as opened, opened.writing():
        add_subject(opened, Subject(name="winding house", place=place))
    return path


def run(notebook: Path, *arguments: str) -> Result:
    given = ["--notebook", str(notebook), "map", "--from", "2026-10-12", *arguments]
    return CliRunner().invoke(main, given, catch_exceptions=True)


def test_elsewhere_it_goes_beside_the_notebook(
    notebook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = run(notebook, "Winding House")
    made = notebook.parent / "return-winding-house.html"
    assert result.stdout == f"{made}\n", "the path and nothing else"
    assert made.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert "winding house" in made.read_text(encoding="utf-8")


def test_in_a_checkout_it_goes_under_maps(
    notebook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "maps").mkdir()
    (tmp_path / "deep" / "down").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "deep" / "down")
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "another"\n')
    assert run(notebook).stdout == f"{notebook.parent / 'return.html'}\n"
    (tmp_path / "pyproject.toml").write_text('[project]\nname = "backbearing"\n')
    assert run(notebook).stdout == f"{tmp_path / 'maps' / 'return.html'}\n"


def test_out_goes_where_it_is_told_and_may_be_made_again(notebook: Path, tmp_path: Path) -> None:
    out = tmp_path / "weekend.html"
    assert run(notebook, "--out", str(out)).exit_code == 0
    first = out.read_bytes()
    assert run(notebook, "--out", str(out)).exit_code == 0
    assert out.read_bytes() == first, "same data, same bytes"


def test_it_never_replaces_what_is_no_page(notebook: Path) -> None:
    before = notebook.read_bytes()
    result = run(notebook, "--out", str(notebook))
    assert isinstance(result.exception, BadInput)
    assert "no page" in str(result.exception)
    assert notebook.read_bytes() == before


def test_another_process_makes_the_same_bytes(notebook: Path, tmp_path: Path) -> None:
    made = []
    for seed in ("1", "2"):  # sets and hashes fall out differently in each
        out = tmp_path / f"{seed}.html"
        arguments = ["--notebook", notebook, "map", "--from", "2026-10-12", "--out", out]
        subprocess.run(
            [sys.executable, "-m", "backbearing", *map(str, arguments)],
            check=True,
            capture_output=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        made.append(out.read_bytes())
    assert made[0] == made[1]


@pytest.mark.parametrize(
    "arguments",
    [["--base-map", "ftp://x"], ["no such subject"], ["--from", "some day"]],
)
def test_bad_input_leaves_no_file(notebook: Path, arguments: list[str]) -> None:
    assert run(notebook, *arguments).exit_code != 0
    assert list(notebook.parent.glob("*.html")) == []


def test_a_name_with_slashes_stays_in_its_folder(
    notebook: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given")
    with open_notebook(notebook) as opened, opened.writing():
        add_subject(opened, Subject(name="../../etc/arch", place=place))
    result = run(notebook, "../../etc/arch")
    assert result.stdout == f"{notebook.parent / 'return-etc-arch.html'}\n"


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_a_walk_stamped_at_the_end_of_the_calendar_is_drawn_like_any(
    notebook: Path, tmp_path: Path, day: str
) -> None:
    walked = "".join(
        fix(47 + i / 1e4, -21, f"<time>{day}T{hour}:00:0{i}Z</time>")
        for i, hour in enumerate(["00", "23"])
    )
    (tmp_path / "unset.gpx").write_bytes(gpx(track(walked)))
    with open_notebook(notebook) as opened:
        assert import_files(opened, [tmp_path / "unset.gpx"]).all_good
    result = run(notebook, "--out", str(tmp_path / "return.html"))
    assert (result.exit_code, result.exception) == (0, None)
    assert day[:4] in (tmp_path / "return.html").read_text(encoding="utf-8")


def test_no_folder_is_made_unasked(notebook: Path, tmp_path: Path) -> None:
    result = run(notebook, "--out", str(tmp_path / "no" / "such" / "page.html"))
    assert isinstance(result.exception, BadInput)
    assert "folder" in str(result.exception)
    assert not (tmp_path / "no").exists()


def test_of_nothing_no_page_is_made(tmp_path: Path) -> None:
    path = tmp_path / "empty.gpkg"
    open_notebook(path, create=True).close()
    result = run(path, "--out", str(tmp_path / "page.html"))
    assert isinstance(result.exception, NotFound)
    assert not (tmp_path / "page.html").exists()
