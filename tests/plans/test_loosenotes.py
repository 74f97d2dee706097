"""Notes that belong to no subject keep their place and stay in view."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.fieldwork import field_notebook

from backbearing.notebook import Notebook
from backbearing.notebook.subjects import add_note, add_subject, list_notes
from backbearing.plans.loosenotes import loose_notes, read_stood_at
from backbearing.plans.notes import store_notes
from backbearing.plans.subjects import list_subjects
from backbearing.records import Note, Place, Subject
from backbearing.writers.subjects import subjects_text

NOW = datetime(2026, 3, 20, tzinfo=UTC)
FIELD_NOTES = b"""2026-03-14
13:34 blocked: windfall across the incline foot, bring a bow saw
03:00 seen pump wheel, 215M 8m
13:35 seen arch, walls
"""


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    opened = field_notebook(tmp_path / "notebook.gpkg")
    store_notes(opened, FIELD_NOTES, "notes.txt", now=NOW)
    yield opened
    opened.__exit__(None, None, None)


def test_a_note_on_the_way_keeps_the_place_it_was_written_at(notebook: Notebook) -> None:
    unplaced, windfall = loose_notes(notebook)
    assert "windfall" in windfall.note.text
    assert windfall.place is not None
    assert windfall.place.latitude_deg == pytest.approx(47.0, abs=0.1)
    assert windfall.place.source.startswith("track 1 at 13:34")
    assert "pump wheel" in unplaced.note.text
    assert unplaced.place is None
    assert unplaced.missing


def test_the_list_of_subjects_ends_with_them(notebook: Notebook) -> None:
    text = subjects_text(list_subjects(notebook))
    subjects, loose = text.split("notes that belong to no subject")
    assert "arch" in subjects
    assert "windfall across the incline foot, bring a bow saw (notes.txt, line 2)" in loose
    assert "track 1 at 13:34" in loose
    assert "no place: " in loose


def test_only_those_that_say_blocked_stand_among_the_blocked(notebook: Notebook) -> None:
    loose = list_subjects(notebook, blocked=True).loose_notes
    assert ["windfall" in each.note.text for each in loose] == [True]
    assert list_subjects(notebook, state="seen").loose_notes == ()


def test_a_note_of_a_subject_is_not_loose(notebook: Notebook) -> None:
    place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given")
    with notebook.writing():
        gate = add_subject(notebook, Subject(name="gate", place=place))
        add_note(notebook, Note(text="rusted shut", written_at=NOW, subject_id=gate.id))
    assert "rusted shut" in [note.text for note in list_notes(notebook)]
    assert "rusted shut" not in [each.note.text for each in loose_notes(notebook)]


@pytest.mark.parametrize(
    "text", ["", "by the gate", "91.0, 0.0 ± 5 m (x)", "nan, 0 ± 5 m", "1" * 999]
)
def test_what_is_no_place_is_none(text: str) -> None:
    assert read_stood_at(text) is None
