"""Readings, trees, lines and passages: kept as given, put away and brought back with a subject."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from tests.notebook import samples

from backbearing.errors import BadInput, NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.bin import discard, restore
from backbearing.notebook.integrity import check
from backbearing.notebook.lines import (
    add_passage,
    add_report,
    find_passage,
    list_lines,
    list_passages,
    store_line,
)
from backbearing.notebook.subjects import add_subject, find_subject
from backbearing.notebook.surroundings import add_reading, list_readings, list_trees, set_trees
from backbearing.records import PassageReport


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened, opened.writing():
        yield opened


def test_readings_and_trees_come_back_as_they_were(notebook: Notebook) -> None:
    subject = add_subject(notebook, replace(samples.subject(), at_water=True))
    assert find_subject(notebook, subject.name).at_water
    kept = add_reading(notebook, samples.reading(subject.id), subject.place)
    assert list_readings(notebook, subject.id) == [kept]
    set_trees(notebook, subject.id, samples.trees())
    set_trees(notebook, subject.id, replace(samples.trees(), tall_m=9.0))  # in place of the first
    (trees,) = list_trees(notebook, subject.id)
    assert replace(trees, id=None, subject_id=None) == replace(samples.trees(), tall_m=9.0)
    set_trees(notebook, subject.id, None)
    assert list_trees(notebook) == []


def test_readings_come_by_azimuth(notebook: Notebook) -> None:
    subject = add_subject(notebook, samples.subject())
    for true_deg in (200.0, 10.0, 350.0):
        reading = samples.reading(subject.id)
        turned = replace(reading, azimuth=replace(reading.azimuth, true_deg=true_deg))
        add_reading(notebook, turned, subject.place)
    assert [r.azimuth.true_deg for r in list_readings(notebook)] == [10.0, 200.0, 350.0]


def test_a_subject_takes_them_to_the_bin_and_back(notebook: Notebook) -> None:
    subject = add_subject(notebook, samples.subject())
    add_reading(notebook, samples.reading(subject.id), subject.place)
    set_trees(notebook, subject.id, samples.trees())
    before = list_readings(notebook), list_trees(notebook)
    deleted = discard(notebook, "subject", subject.id or 0)
    assert (list_readings(notebook), list_trees(notebook)) == ([], [])
    restore(notebook, deleted.id)
    assert (list_readings(notebook), list_trees(notebook)) == before


def test_one_reading_goes_and_comes_back(notebook: Notebook) -> None:
    subject = add_subject(notebook, samples.subject())
    kept = add_reading(notebook, samples.reading(subject.id), subject.place)
    deleted = discard(notebook, "reading", kept.id or 0)
    assert deleted.name == "215M"
    with_subject = discard(notebook, "subject", subject.id or 0)
    with pytest.raises(BadInput, match="restore the subject first"):
        restore(notebook, deleted.id)
    restore(notebook, with_subject.id)
    restore(notebook, deleted.id)
    assert list_readings(notebook) == [kept]


def test_nothing_is_kept_for_a_subject_that_is_not_there(notebook: Notebook) -> None:
    with pytest.raises(NotFound):
        add_reading(notebook, samples.reading(7), samples.subject().place)
    with pytest.raises(NotFound):
        set_trees(notebook, 7, samples.trees())


def test_lines_come_back_in_their_order_and_by_kind(notebook: Notebook) -> None:
    store_line(notebook, None, samples.line())
    store_line(notebook, None, replace(samples.line("path"), kind="path"))
    assert [line.kind for line in list_lines(notebook)] == ["leat", "path"]
    (path,) = list_lines(notebook, kinds=("path",))
    assert path.name == "path"
    assert np.array_equal(path.latitude_deg, samples.line().latitude_deg)


def test_a_passage_keeps_its_history_by_day(notebook: Notebook) -> None:
    kept = add_passage(notebook, samples.passage())
    add_report(notebook, kept.id, PassageReport(state="open", on=date(2026, 6, 1)))
    add_report(notebook, kept.id, PassageReport(state="blocked", cause="snow", on=date(2026, 1, 1)))
    found = find_passage(notebook, "THE GAP")
    assert [report.state for report in found.reports] == [
        *("unknown", "blocked", "looked blocked", "open")
    ]
    assert found.latest.on == date(2026, 6, 1)
    deleted = discard(notebook, "passage", found.id or 0)
    assert list_passages(notebook) == []
    restore(notebook, deleted.id)
    assert find_passage(notebook, "the gap") == found


def test_passages_have_names_of_their_own(notebook: Notebook) -> None:
    add_passage(notebook, samples.passage())
    with pytest.raises(BadInput, match="already on record"):
        add_passage(notebook, samples.passage("The  gap"))
    with pytest.raises(BadInput, match="needs a name"):
        add_passage(notebook, samples.passage(" "))
    with pytest.raises(NotFound, match="'the gap'"):
        find_passage(notebook, "the gaps")
    with pytest.raises(NotFound):
        add_report(notebook, 99, PassageReport(state="open"))


def test_what_another_program_left_broken_is_passed_over_and_checked(notebook: Notebook) -> None:
    subject = add_subject(notebook, samples.subject())
    add_reading(notebook, samples.reading(subject.id), subject.place)
    set_trees(notebook, subject.id, samples.trees())
    kept = add_passage(notebook, samples.passage())
    notebook.run("UPDATE edge_readings SET altitude_deg = 'high'")
    notebook.run("UPDATE trees SET tall_m = -3")
    notebook.run("UPDATE passages SET geom = x'00', kind = 'tunnel'")
    notebook.run(
        "INSERT INTO passage_reports (passage_id, state, looked_on) VALUES (?, 'shut', 'May')",
        (kept.id,),
    )
    assert list_readings(notebook) == []
    assert list_trees(notebook) == []
    assert list_passages(notebook) == []
    assert check(notebook)
