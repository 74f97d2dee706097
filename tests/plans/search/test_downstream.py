"""Left, right, up and down of water look downstream, whatever way its line was drawn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.lines import list_lines
from backbearing.plans.search.downstream import FLOWING, followed
from backbearing.records import GroundLine, Place


@pytest.fixture(scope="module")
def book(island: Path) -> Iterator[Notebook]:
    with open_notebook(island / "island.gpkg", readonly=True) as notebook:
        yield notebook


def drawn(*corners: tuple[float, float], kind: str = "stream", name: str = "") -> GroundLine:
    latitude, longitude = np.array(corners).T
    return GroundLine(name=name, kind=kind, latitude_deg=latitude, longitude_deg=longitude)  # type: ignore[arg-type]


def turned(line: GroundLine) -> GroundLine:
    return replace(
        line, latitude_deg=line.latitude_deg[::-1], longitude_deg=line.longitude_deg[::-1]
    )


def test_every_stream_of_the_island_runs_one_way_however_it_is_drawn(book: Notebook) -> None:
    """The demo draws each downstream; its leat falls 366.2 to 356.0 m by its own record."""
    for line in list_lines(book, FLOWING):
        for each in (line, turned(line)):
            found, way = followed(book, each)
            assert way.runs == "downstream"
            assert found.latitude_deg.tolist() == line.latitude_deg.tolist()
            assert way.words == followed(book, line)[1].words


def test_what_is_too_flat_to_tell_keeps_its_drawing_and_says_so(book: Notebook) -> None:
    """Along the sea the ground is as high at both ends."""
    line = drawn((47.0600, -21.0500), (47.0605, -21.0400), kind="leat", name="sea cut")
    for each in (line, turned(line)):
        found, way = followed(book, each)
        assert way.runs == "as drawn"
        assert found.latitude_deg.tolist() == each.latitude_deg.tolist()
        assert way.words.startswith("as drawn, from its ")


def test_a_path_goes_as_drawn_between_the_places_at_its_ends(book: Notebook) -> None:
    wheel, arch = (
        next(s.place for s in _subjects(book) if s.name == name) for name in ("pump wheel", "arch")
    )
    line = drawn(
        (wheel.latitude_deg, wheel.longitude_deg),
        (arch.latitude_deg, arch.longitude_deg),
        kind="path",
    )
    assert followed(book, line)[1].words == "as drawn, from pump wheel to arch"
    assert followed(book, turned(line))[1].words == "as drawn, from arch to pump wheel"
    hidden = next(s.id for s in _subjects(book) if s.name == "arch")
    assert "arch" not in followed(book, line, besides=hidden)[1].words


def test_a_ring_is_told_by_the_way_round_it_was_drawn(book: Notebook) -> None:
    line = drawn((0, 0), (0, 0.01), (0.01, 0.01), (0, 0), kind="stream")
    assert followed(book, line)[1].words == "as drawn, anticlockwise"
    assert followed(book, turned(line))[1].words == "as drawn, clockwise"


def test_the_end_a_clue_was_told_towards_holds_against_later_terrain(book: Notebook) -> None:
    leat = next(line for line in list_lines(book) if line.name == "the leat")
    top = Place(
        latitude_deg=float(leat.latitude_deg[0]),
        longitude_deg=float(leat.longitude_deg[0]),
        error_m=0.0,
        error_basis="given",
    )
    found, way = followed(book, leat, towards=top)
    assert (way.runs, way.why) == ("as drawn", "so it was told")
    assert found.latitude_deg[-1] == leat.latitude_deg[0]
    # an end of another line says nothing
    far = replace(top, latitude_deg=top.latitude_deg + 1.0)
    assert followed(book, leat, towards=far)[1].runs == "downstream"


def _subjects(book: Notebook) -> list:  # type: ignore[type-arg]
    from backbearing.notebook.subjects import list_subjects

    return list_subjects(book)
