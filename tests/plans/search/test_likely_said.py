"""What `likely` says of a search: once it is found, what is kept, which line it looks along."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.plans.search.test_search_walk import lost
from tests.plans.test_approach import CELLS, bare, level, line, put_ground

from backbearing.notebook import Notebook
from backbearing.notebook.lines import store_line
from backbearing.notebook.search import add_clue, add_look
from backbearing.notebook.subjects import find_subject
from backbearing.plans.search import where_likely
from backbearing.records import Look, MemoryClue
from backbearing.writers.search import likely_text

__all__ = ["bare", "level"]  # fixtures


@pytest.fixture
def ground(level: Notebook) -> Notebook:
    lost(level, "hut", 100.0, 100.0, 100.0)
    return level


def of_hut(notebook: Notebook) -> int:
    number = find_subject(notebook, "hut").id
    assert number is not None
    return number


def test_found_it_has_no_chances_elsewhere(ground: Notebook) -> None:
    with ground.writing():
        add_look(ground, replace(Look(), subject_id=of_hut(ground), found=True))
    answer = where_likely(ground, "hut")
    assert (answer.elsewhere, answer.gone, answer.stretches) == (0.0, 0.0, ())
    assert answer.share.max() == 1.0
    assert answer.share.sum() == 1.0
    told = likely_text(answer)
    assert told.startswith("Found: hut stands at its place on record.")
    for words in ("lsewhere", "worth a look", "not yet looked at"):
        assert words not in told


def test_a_range_that_is_kept_is_said(ground: Notebook) -> None:
    told = likely_text(where_likely(ground, "hut", range_text="40m"))
    assert "the range of 40 m is kept with hut: looks and walks go by it from now on" in told
    assert "is kept with" not in likely_text(where_likely(ground, "hut"))


def test_of_many_lines_it_says_which_it_looks_along(ground: Notebook) -> None:
    with ground.writing():
        store_line(ground, None, line("wall", "near wall", (-100.0, 120.0), (300.0, 120.0)))
        store_line(ground, None, line("wall", "far wall", (-100.0, 400.0), (300.0, 400.0)))
    told = likely_text(where_likely(ground, "hut", along_name="wall"))
    assert "on both sides of near wall, the nearest of 2 called 'wall'" in told
    assert "the nearest of" not in likely_text(where_likely(ground, "hut", along_name="far wall"))


def test_looks_and_clues_have_the_numbers_that_drop_takes(ground: Notebook) -> None:
    lost(ground, "barn", 0.0, 0.0, 10.0)
    told = MemoryClue(
        subject_id=of_hut(ground), kind="slope", words="on a slope of 0°", low=0, high=0, sure=0.8
    )
    with ground.writing():
        barn = find_subject(ground, "barn").id
        add_look(ground, replace(Look(), subject_id=barn))
        number = add_look(ground, replace(Look(), subject_id=of_hut(ground)))
        clue = add_clue(ground, told)
    answer = likely_text(where_likely(ground, "hut"))
    assert number == 2
    assert f"  look {number}: " in answer
    assert f"  clue {clue}: " in answer


def test_a_slope_of_nought_is_not_any_slope(bare: Notebook, tmp_path: Path) -> None:
    put_ground(bare, tmp_path, np.tile(10.0 * np.arange(CELLS), (CELLS, 1)))  # 45°
    lost(bare, "hut", 100.0, 100.0, 100.0)
    told = MemoryClue(
        subject_id=of_hut(bare), kind="slope", words="level", low=0.0, high=0.0, sure=0.8
    )
    with bare.writing():
        add_clue(bare, told)
    (_, slope) = where_likely(bare, "hut").clues
    assert slope.fits.max() < 0.1
