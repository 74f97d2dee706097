"""A page's day worked out by a second process: the same page, whatever becomes of that."""

from __future__ import annotations

import sys
from pathlib import Path
from subprocess import Popen

import numpy as np
import pytest
from click.testing import CliRunner
from tests.plans.search.test_search_walk import put_start
from tests.plans.test_approach import CELLS, END, bare, put_ground

from backbearing.cli import meanwhile
from backbearing.cli.main import main
from backbearing.errors import NotFound
from backbearing.notebook import Notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject
from backbearing.plans import ownfolder, processes
from backbearing.plans.outing import clocks
from backbearing.records import Subject

__all__ = ["bare"]  # fixture


@pytest.fixture
def notebook(bare: Notebook, tmp_path: Path) -> Path:
    """A subject on level ground, twelve hundred metres from where walks begin."""
    put_ground(bare, tmp_path, np.full((CELLS, CELLS), 100.0))
    put_start(bare)
    with bare.writing():
        set_setting(bare, "start", "jetty")
        add_subject(bare, Subject(name="winding house", place=END))
    return bare.path


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[Popen[bytes]]:
    """The second processes, as they come."""
    found: list[Popen[bytes]] = []
    start = meanwhile._second_process

    def kept(asked: meanwhile.PageAsked) -> Popen[bytes]:
        found.append(start(asked))
        return found[-1]

    monkeypatch.setattr(meanwhile, "_second_process", kept)
    monkeypatch.setattr(processes, "cores", lambda: 2)
    return found


def page(notebook: Path, out: Path, name: str = "winding house") -> bytes:
    words = ["map", name, "--from", "2036-10-12", "--out", str(out)]
    done = CliRunner().invoke(main, ["--notebook", str(notebook), *words], catch_exceptions=False)
    assert done.exit_code == 0
    return out.read_bytes()


def test_a_first_page_by_two_processes_is_a_later_one_and_that_of_one_process(
    notebook: Path, tmp_path: Path, started: list[Popen[bytes]], monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*args: object, **named: object) -> None:
        raise AssertionError("the way is found by the second process")

    with monkeypatch.context() as here:
        here.setattr(clocks, "approach", never)
        first = page(notebook, tmp_path / "first.html")
    assert [process.poll() for process in started] == [0]
    assert page(notebook, tmp_path / "later.html") == first
    assert len(started) == 1, "a later one has nothing left to help with"
    assert b"jetty" in first

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "nothing kept"))
    ownfolder.own_folder.cache_clear()
    monkeypatch.setattr(processes, "cores", lambda: 1)
    assert page(notebook, tmp_path / "alone.html") == first
    assert len(started) == 1


def test_a_second_process_that_is_lost_is_not_missed(
    notebook: Path, tmp_path: Path, started: list[Popen[bytes]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", "/bin/false")
    assert b"jetty" in page(notebook, tmp_path / "page.html")
    assert [process.poll() for process in started] == [1]


def test_none_is_left_behind_by_a_page_that_fails(
    notebook: Path, tmp_path: Path, started: list[Popen[bytes]]
) -> None:
    with pytest.raises(NotFound):
        page(notebook, tmp_path / "page.html", "no such subject")
    assert len(started) == 1
    assert started[0].poll() is not None
    assert not list(tmp_path.glob("*.html"))
