"""`check` speaks of rows that another program left meaning nothing."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.notebook import samples
from tests.notebook.test_kit import BATCH

from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.integrity import check
from backbearing.notebook.kit import put_entry
from backbearing.notebook.lines import add_passage, store_line
from backbearing.notebook.plates import add_plate
from backbearing.notebook.subjects import add_subject
from backbearing.notebook.surroundings import add_reading, set_trees
from backbearing.records import Plate


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened, opened.writing():
        subject = add_subject(opened, samples.subject())
        add_reading(opened, samples.reading(subject.id), subject.place)
        set_trees(opened, subject.id, samples.trees())
        store_line(opened, None, samples.line())
        add_passage(opened, samples.passage())
        put_entry(opened, BATCH)
        add_plate(opened, Plate(holder="3", side="A", batch="winter box", subject_id=subject.id))
        yield opened


def test_sound_rows_are_not_spoken_of(notebook: Notebook) -> None:
    assert check(notebook) == []


@pytest.mark.parametrize(
    ("spoil", "where"),
    [
        ("UPDATE trees SET tall_m = 'abc'", "trees"),
        ("UPDATE trees SET tall_m = -5", "trees"),
        ("UPDATE trees SET tall_m = NULL", "trees"),
        ("UPDATE trees SET beyond_m = 9e999", "trees"),
        ("UPDATE trees SET subject_id = NULL", "trees"),
        ("UPDATE edge_readings SET altitude_deg = 'x'", "edge_readings"),
        ("UPDATE edge_readings SET altitude_deg = 500", "edge_readings"),
        ("UPDATE edge_readings SET azimuth_true_deg = NULL", "edge_readings"),
        ("UPDATE edge_readings SET effect = 'melts'", "edge_readings"),
        ("UPDATE lines SET kind = 'wire'", "lines"),
        ("UPDATE passages SET kind = 'tunnel'", "passages"),
        ("UPDATE passages SET name = ' '", "passages"),
        ("UPDATE passages SET error_m = -1", "passages"),
        ("INSERT INTO passage_reports (state) VALUES ('shut')", "passage_reports"),
        ("UPDATE kit SET fields = '['", "kit"),
        ("UPDATE kit SET fields = NULL", "kit"),
        ("UPDATE kit SET kind = 'banana'", "kit"),
        ("UPDATE plates SET state = 'lost'", "plates"),
        ("UPDATE plates SET exposure_s = 0", "plates"),
        ("UPDATE plates SET shadows = 'purple'", "plates"),
    ],
)
def test_a_spoilt_row_is_named(notebook: Notebook, spoil: str, where: str) -> None:
    notebook.run(spoil)
    found = check(notebook)
    assert {finding.where.partition(",")[0] for finding in found} == {where}
    assert all(finding.grade == "fault" and finding.remedy for finding in found)
