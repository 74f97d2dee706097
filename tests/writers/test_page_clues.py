"""Each clue is drawn where it fits, with the places, reaches and bearings it names."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest

from backbearing.notebook import open_notebook
from backbearing.plans.marking import mark
from backbearing.plans.search import Likely, where_likely
from backbearing.plans.search.asked import add_clue
from backbearing.plans.search.typedclue import TypedClue
from backbearing.writers.page.search import clues_drawn, drawn

NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)
TOLD = (
    TypedClue(near="water", within="100m"),
    TypedClue(near="arch", within="300m"),
    TypedClue(side="left", of="the leat"),
    TypedClue(inside="two slabs; pump wheel; 47.0060 N 21.0000 W"),
    TypedClue(bearing="120T", start="winding house"),
    TypedClue(bearing="15T", start="arch"),
    TypedClue(slope="10-35"),
)


@pytest.fixture(scope="module")
def likely(island: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Likely]:
    path = Path(shutil.copy(island / "island.gpkg", tmp_path_factory.mktemp("n") / "n.gpkg"))
    with open_notebook(path) as notebook:
        mark(notebook, "lost crane", "47.0040 N 20.9970 W", error_m=400.0, now=NOW)
        for typed in TOLD:
            add_clue(notebook, "lost crane", typed, sure="80%", on=None, note="", now=NOW)
        yield where_likely(notebook, "lost crane", within_m=400.0)


def kinds(svg: str) -> list[str]:
    return [each.get("class", "") for each in ElementTree.fromstring(svg).iter()]


def test_every_clue_has_a_drawing_of_where_it_fits(likely: Likely) -> None:
    drawings = clues_drawn(likely)
    assert len(drawings) == 1 + len(TOLD)  # the place on record is one itself
    assert len(set(drawings)) == len(drawings)
    for clue, drawing in zip(likely.clues, drawings, strict=True):
        assert f"Where it fits: {clue.words}" in drawing
        assert any(kind.startswith("share ") for kind in kinds(drawing))


def test_what_a_clue_names_is_marked(likely: Likely) -> None:
    drawings = {
        clue.told.kind: kinds(drawing)
        for clue, drawing in zip(likely.clues, clues_drawn(likely), strict=True)
        if clue.told is not None
    }
    assert drawings["near a place"].count("edge") == 1
    assert drawings["inside an area"].count("edge") == 1
    assert (drawings["on a bearing"].count("ray"), drawings["on a bearing"].count("edge")) == (1, 2)
    assert drawings["on a bearing"].count("camera") == 1
    assert "camera" not in drawings["side of a line"]


def test_where_two_bearings_cross_an_ellipse_is_drawn(likely: Likely) -> None:
    assert likely.crossing is not None
    assert "ellipse" in kinds(drawn(likely))
    assert "cut at 75°" in likely.crossing.words
