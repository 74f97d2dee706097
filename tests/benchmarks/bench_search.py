"""A search: a 500 × 500 grid under ten clues, a look by 20,000 fixes, a walk of three hours.

python -m tests.benchmarks bench_search
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np

from backbearing.models.likelihood import Shares, after_looking
from backbearing.models.walk import summarise
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.lines import add_passage, store_line
from backbearing.notebook.search import add_clue, add_look, list_looks
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject
from backbearing.notebook.tracks import store_original, store_track
from backbearing.plans.search import where_likely
from backbearing.plans.search.askedwalk import ask_search
from backbearing.plans.search.looked import seen_chances
from backbearing.plans.terraingrids import grids_round
from backbearing.records import ClueKind, Look, MemoryClue, Segment, Subject, Track
from tests.benchmarks.bench_leasttime import peak_mb
from tests.benchmarks.ratios import Row, best_of
from tests.notebook import samples
from tests.plans.test_approach import line, place, put_ground
from tests.plans.test_approach_passages import passage

FIXES = 20_000
NOW = datetime(2026, 7, 1, 8, 0, tzinfo=UTC)


def clues() -> list[MemoryClue]:
    """Ten, of all sorts; four need the terrain."""

    def clue(kind: ClueKind, **told: object) -> MemoryClue:
        return MemoryClue(kind=kind, words=kind, sure=0.8, on=date(2026, 1, 1), **told)  # type: ignore[arg-type]

    here, there = place(-600.0, 0.0), place(300.0, 500.0)
    return [
        clue("near a line", line="beck", high=300.0),
        clue("side of a line", line="beck", side="left"),
        clue("near a place", place=there, high=800.0),
        clue("walk from a place", place=here, low=5.0, high=40.0),
        clue("between places", line="beck", place=place(-900.0, 0.0), other=place(900.0, 0.0)),
        clue("on a bearing", place=here, low=70.0, error=10.0),
        clue("slope", low=3.0, high=25.0),
        clue("facing", low=135.0),
        clue("height", low=80.0, high=160.0),
        clue("seen from a place", place=there),
    ]


def filled(notebook: Notebook, folder: Path) -> Subject:
    """Hills, a beck, a wall with a doubtful gap, a lost subject, ten clues, one long walk."""
    row, column = np.mgrid[0:321, 0:321].astype(float)
    put_ground(notebook, folder, 100.0 + 40.0 * np.sin(row / 30.0) * np.cos(column / 40.0))
    rng = np.random.default_rng(1)
    turn = np.cumsum(rng.normal(0.0, 0.2, FIXES))
    segment = Segment(
        latitude_deg=place(0, 0).latitude_deg + np.cumsum(np.cos(turn)) / 111_170.0,
        longitude_deg=place(0, 0).longitude_deg + np.cumsum(np.sin(turn)) / 76_060.0,
        height_m=np.full(FIXES, 100.0),
        time=np.datetime64("2026-05-01T08:00", "ms")
        + np.arange(FIXES).astype("timedelta64[s]").astype("timedelta64[ms]"),
    )
    track = Track(name="a long look", segments=(segment,))
    with notebook.writing():
        set_setting(notebook, "zone", "UTC")
        add_subject(notebook, Subject(name="jetty", place=place(-600.0, 0.0)))
        subject = add_subject(
            notebook, Subject(name="hut", place=replace(place(400.0, 100.0), error_m=1600.0))
        )
        store_line(notebook, None, line("stream", "beck", (-1500.0, -300.0), (1500.0, 600.0)))
        store_line(notebook, None, line("wall", "old wall", (900.0, -9e3), (900.0, 9e3)))
        add_passage(notebook, passage("hole", "looked blocked", "windfall", east_m=900.0))
        for clue in clues():
            add_clue(notebook, replace(clue, subject_id=subject.id))
        original = store_original(notebook, samples.original())
        number = store_track(notebook, original, track, summarise(track))
        add_look(notebook, Look(subject_id=subject.id, track_id=number, on=date(2026, 5, 1)))
    return subject


def plain_fields() -> None:
    """The least that ten clues over 500 × 500 cells can cost: ten bells, multiplied."""
    y, x = np.mgrid[0:501, 0:501].astype(float)
    weight = np.ones(x.shape)
    for number in range(10):
        weight *= 0.8 * np.exp(-0.5 * ((np.hypot(x - 250.0, y) - 30.0 * number) / 40.0) ** 2) + 0.2
    weight /= weight.sum()


def rows() -> Iterator[Row]:
    with (
        tempfile.TemporaryDirectory() as folder,
        open_notebook(Path(folder) / "notebook.gpkg", create=True) as notebook,
    ):
        subject = filled(notebook, Path(folder))
        reference = best_of(plain_fields)

        def likely() -> object:
            return where_likely(notebook, "hut", within_m=2500.0)

        likely()
        found = where_likely(notebook, "hut", within_m=2500.0)
        assert found.ground.rows * found.ground.columns > 250_000
        took = best_of(likely, times=3)
        yield Row(
            "likely: 501 × 501 cells, ten clues, one look, warm / ten plain fields",
            took / reference,
            "at most",
            40.0,
            f"({took:.2f} s / {reference:.2f} s; wanted: under 1 s)",
        )
        looks = list_looks(notebook, subject.id)
        terrain = grids_round(notebook, 47.0, -21.0, 4000.0)
        shares = Shares(pieces=found.share, elsewhere=found.elsewhere, gone=found.gone)

        def update() -> None:
            seen = seen_chances(notebook, found.ground, looks, terrain).chance
            assert (seen > 0.0).sum() > 1_000
            after_looking(shares, seen)

        update()
        took = best_of(update, times=5)
        yield Row(
            "likely: after a look of 20,000 fixes / ten plain fields",
            took / reference,
            "at most",
            4.0,
            f"({took:.3f} s / {reference:.2f} s; wanted: under 0.3 s)",
        )

        def walk() -> object:
            return ask_search(
                    notebook, "hut", now=NOW, span="3h", start="jetty", day="2026-07-02",
                    leave="9:00", pace="DIN 33466", within="800 m",
                )  # fmt: skip

        walk()
        took = best_of(walk, times=2)
        yield Row(
            "search: a walk of 3 h with a doubtful gap / ten plain fields",
            took / reference,
            "at most",
            120.0,
            f"({took:.1f} s / {reference:.2f} s; wanted: under 10 s)",
        )
    yield Row("search, peak memory [MB]", peak_mb(), "at most", 500.0)
