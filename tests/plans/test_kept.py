"""Answers are kept while all they rest on answers as it did, and no longer."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, time
from pathlib import Path

import numpy as np
import pytest
from tests.plans.test_relief import NORTH, WEST, write

from backbearing.errors import BadInput
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.settings import get_setting, set_setting
from backbearing.notebook.subjects import add_subject, list_subjects
from backbearing.plans import kept as keeping
from backbearing.plans import ownfolder
from backbearing.plans.kept import kept
from backbearing.plans.ownfolder import keep_own, own_folder, read_own
from backbearing.plans.terrain import add_terrain
from backbearing.records import Place, Subject

HERE = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given")


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "island.gpkg", create=True) as opened:
        with opened.writing():
            add_subject(opened, Subject(name="arch", place=HERE))
        yield opened


@dataclass
class Asker:
    """Asks which subjects there are, and counts how often that had to be worked out."""

    notebook: Notebook
    made: int = 0

    def ask(self, *asked: object) -> list[str]:
        def make() -> list[str]:
            self.made += 1
            return [each.name for each in list_subjects(self.notebook)]

        return kept(self.notebook, "names", asked, make)


def test_what_nothing_changed_is_given_again(notebook: Notebook) -> None:
    asker = Asker(notebook)
    assert asker.ask("all", HERE) == asker.ask("all", HERE) == ["arch"]
    with notebook.writing():  # of which it asked nothing
        set_setting(notebook, "zone", "Atlantic/Azores")
    assert asker.ask("all", HERE) == ["arch"]
    assert asker.made == 1


def test_a_change_of_what_it_read_makes_it_anew(notebook: Notebook) -> None:
    asker = Asker(notebook)
    asker.ask()
    with notebook.writing():
        add_subject(notebook, Subject(name="mill", place=HERE))
    assert asker.ask() == ["arch", "mill"]
    assert asker.made == 2


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (HERE, replace(HERE, latitude_deg=47.0 + 1e-9)),
        (date(2026, 12, 21), date(2026, 12, 22)),
        (time(13, 0), time(13, 30)),  # of a wish: until then
        (np.zeros(5000), np.eye(5000, 1).ravel()),
        ("ab", "a"),
        (("a", "b"), ("ab",)),
        (1, 1.0),
        (None, "None"),
        ({"yellow": 2.0}, {"yellow": 4.0}),
        (b"1", b"2"),
    ],
)
def test_another_question_is_another_answer(notebook: Notebook, one: object, other: object) -> None:
    asker = Asker(notebook)
    for value in (one, other, one):
        asker.ask(value)
    assert asker.made == 2


def test_a_question_that_cannot_be_spelt_is_no_question(notebook: Notebook) -> None:
    with pytest.raises(TypeError):
        Asker(notebook).ask(object())


def test_what_is_noted_of_a_raster_counts(notebook: Notebook, tmp_path: Path) -> None:
    raster = write(tmp_path / "ground.tif", np.zeros((9, 9)), 30.0, WEST, NORTH)
    asker = Asker(notebook)
    for ground in ("bare ground", "surface"):
        add_terrain(notebook, [raster], ground=ground)
        asker.ask()
    assert asker.made == 2


def test_a_raster_that_changes_makes_it_anew(notebook: Notebook, tmp_path: Path) -> None:
    raster = write(tmp_path / "ground.tif", np.zeros((9, 9)), 30.0, WEST, NORTH)
    add_terrain(notebook, [raster], ground="bare ground")
    asker = Asker(notebook)
    asker.ask()
    os.utime(raster, ns=(1, 1))
    asker.ask()
    raster.unlink()
    asker.ask()
    asker.ask()
    assert asker.made == 3


def test_another_state_of_the_program_makes_it_anew(
    notebook: Notebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    asker = Asker(notebook)
    asker.ask()
    monkeypatch.setattr(keeping, "code_stamp", lambda: "mended")
    asker.ask()
    assert asker.made == 2


def test_an_answer_that_asks_for_another_rests_on_all_that_one_read(notebook: Notebook) -> None:
    def outer() -> str:
        return kept(notebook, "outer", (), lambda: kept(notebook, "inner", (), inner) + "!")

    def inner() -> str:
        return get_setting(notebook, "zone") or "none"

    assert outer() == outer() == "none!"
    with notebook.writing():
        set_setting(notebook, "zone", "Atlantic/Azores")
    assert outer() == "Atlantic/Azores!"


def test_a_notebook_that_may_not_be_written_answers_as_well(notebook: Notebook) -> None:
    with open_notebook(notebook.path, readonly=True) as closed:
        asker = Asker(closed)
        assert asker.ask() == asker.ask() == ["arch"]
    assert asker.made == 1


def test_what_makes_nothing_is_not_kept(notebook: Notebook) -> None:
    def fails() -> str:
        raise BadInput("no way leads there")

    for _ in range(2):
        with pytest.raises(BadInput, match="no way"):
            kept(notebook, "fails", (), fails)


# ---------------------------------------------------------------- the folder


def test_what_is_not_whole_is_not_given() -> None:
    keep_own("one", b"content")
    folder = own_folder()
    assert folder is not None
    assert read_own("one") == b"content"
    (folder / "one").write_bytes((folder / "one").read_bytes()[:-1])
    assert read_own("one") is None
    assert read_own("none such") is None


def test_what_was_used_longest_ago_gives_way(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ownfolder, "MOST_BYTES", 3 * (32 + 100))
    folder = own_folder()
    assert folder is not None
    for number in range(3):
        keep_own(str(number), bytes(100))
        os.utime(folder / str(number), ns=(number, number))
    assert read_own("0") is not None
    keep_own("3", bytes(100))
    assert sorted(path.name for path in folder.iterdir()) == ["0", "2", "3"]


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="folders have no owners here")
def test_a_folder_that_others_may_write_to_is_left_alone() -> None:
    keep_own("one", b"content")
    folder = own_folder()
    assert folder is not None
    folder.chmod(0o770)
    own_folder.cache_clear()
    assert read_own("one") is None
    keep_own("two", b"content")
    assert [path.name for path in folder.iterdir()] == ["one"]
