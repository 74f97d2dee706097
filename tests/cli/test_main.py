"""The door: quick help, one sentence for each error, documented exit codes."""

import subprocess
import sys
from pathlib import Path

import pytest

from backbearing.cli.main import COMMANDS


def backbearing(*args: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "backbearing", *args],
        capture_output=True,
        text=True,
        cwd=cwd,
        check=False,
    )


HEAVY = (
    "numpy",
    "rasterio",
    "pyproj",
    "erfa",
    "folium",
    "geopandas",
    "shapely",
    "pandas",
    "rich",
    "jinja2",
)


def loaded_by(tmp_path: Path, *args: str) -> set[str]:
    """The heavy packages a command line ends up importing."""
    code = (
        "import sys; from backbearing.cli.main import run\n"
        f"sys.argv = ['backbearing', *{list(args)!r}]\n"
        "try: run()\n"
        "except SystemExit: pass\n"
        f"print('LOADED', *[m for m in {HEAVY!r} if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=tmp_path, check=True
    )
    line = next(line for line in done.stdout.splitlines() if line.startswith("LOADED"))
    return set(line.split()[1:])


@pytest.mark.parametrize("args", [["--help"], ["--version"]])
def test_help_and_version_load_nothing_heavy(tmp_path: Path, args: list[str]) -> None:
    assert loaded_by(tmp_path, *args) == set()


def test_reading_the_notebook_needs_no_arrays(tmp_path: Path) -> None:
    marked = backbearing(
        "--notebook", "n.gpkg", "mark", "arch", "--at", "47.06 N 21.03 W", cwd=tmp_path
    )
    assert marked.returncode == 0, marked.stderr
    for args in (["subjects"], ["tracks"]):
        assert loaded_by(tmp_path, "--notebook", "n.gpkg", *args) == set(), args


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_explains_itself_with_an_example(name: str) -> None:
    done = backbearing(name, "--help")
    assert done.returncode == 0, done.stderr
    assert f"backbearing {name}" in done.stdout.split("Usage:")[1].split("\n", 1)[1], (
        f"the help of {name} has no example to paste"
    )


def test_a_mistyped_command_exits_2_with_a_hint() -> None:
    done = backbearing("subject")
    assert done.returncode == 2
    assert "Did you mean 'subjects'?" in done.stderr


def test_a_missing_notebook_is_one_sentence(tmp_path: Path) -> None:
    done = backbearing("--notebook", "nowhere.gpkg", "subjects", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr


def test_a_closed_pipe_is_not_a_failure(tmp_path: Path) -> None:
    done = subprocess.run(
        f"{sys.executable} -m backbearing card | head -c 1",
        shell=True,
        capture_output=True,
        text=True,
        check=False,
    )
    assert "Traceback" not in done.stderr
    assert "BrokenPipe" not in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_disk_behind_stdout_is_one_sentence_and_a_failure() -> None:
    done = subprocess.run(
        f"{sys.executable} -m backbearing card > /dev/full",
        shell=True,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert done.stderr.startswith("backbearing: the answer could not be written out")
    assert len(done.stderr.splitlines()) == 1
