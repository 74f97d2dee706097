"""Subjects, camera positions and notes on record."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from tests.notebook import samples

from backbearing.errors import BadInput, NotebookError, NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import (
    add_camera_position,
    add_note,
    add_subject,
    find_subject,
    list_camera_positions,
    list_notes,
    list_subjects,
    update_camera_position,
    update_subject,
)
from backbearing.records import CameraPosition, Note, Subject


@given(samples.subjects, samples.camera_positions, samples.notes)
def test_whatever_is_put_on_record_comes_back_as_it_was(
    tmp_path_factory: pytest.TempPathFactory, subject: Subject, cp: CameraPosition, note: Note
) -> None:
    with open_notebook(tmp_path_factory.mktemp("n") / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            stored = add_subject(notebook, subject)
            position = add_camera_position(notebook, replace(cp, subject_id=stored.id))
            remark = add_note(notebook, replace(note, subject_id=stored.id))
        assert list_subjects(notebook) == [stored]
        assert replace(stored, id=None, uid="") == subject
        assert list_camera_positions(notebook, stored.id) == [position]
        assert replace(position, id=None, subject_id=None) == cp
        assert list_notes(notebook, stored.id) == [remark]
        assert replace(remark, id=None, subject_id=None) == note


def test_an_uid_lasts_when_the_name_changes(notebook: Notebook) -> None:
    with notebook.writing():
        stored = add_subject(notebook, samples.subject())
        update_subject(notebook, replace(stored, name="Upper winding house", state="made"))
    again = find_subject(notebook, "upper winding house")
    assert again.uid == stored.uid
    assert again.id == stored.id
    assert again.state == "made"
    assert find_subject(notebook, stored.uid) == again


@pytest.mark.parametrize(
    "same", ["Café Arch", "café arch", "CAFÉ ARCH", "Cafe\u0301 Arch", "  Café   Arch "]
)
def test_names_are_the_same_whatever_their_case_composition_and_spacing(
    notebook: Notebook, same: str
) -> None:
    with notebook.writing():
        stored = add_subject(notebook, samples.subject("Café Arch"))
        with pytest.raises(BadInput, match="already on record"):
            add_subject(notebook, samples.subject(same))
        other = add_subject(notebook, samples.subject("Pump wheel"))
        with pytest.raises(BadInput, match="already on record"):
            update_subject(notebook, replace(other, name=same))
        update_subject(notebook, replace(stored, name=same))  # its own name is no clash
    assert find_subject(notebook, same).id == stored.id


def test_a_subject_needs_a_name(notebook: Notebook) -> None:
    with notebook.writing(), pytest.raises(BadInput, match="needs a name"):
        add_subject(notebook, samples.subject(" \t "))


def test_an_unknown_name_is_met_with_the_nearest(notebook: Notebook) -> None:
    with notebook.writing():
        add_subject(notebook, samples.subject("Winding house"))
    with pytest.raises(NotFound, match="did you mean 'Winding house'"):
        find_subject(notebook, "wining hose")
    with pytest.raises(NotFound, match="backbearing subjects"):
        find_subject(notebook, "zzz")


def test_subjects_are_listed_by_name(notebook: Notebook) -> None:
    with notebook.writing():
        for name in ("pump wheel", "Arch", "Landing stage"):
            add_subject(notebook, samples.subject(name))
    assert [s.name for s in list_subjects(notebook)] == ["Arch", "Landing stage", "pump wheel"]


def test_camera_positions_have_names_of_their_own_in_each_subject(notebook: Notebook) -> None:
    with notebook.writing():
        one = add_subject(notebook, samples.subject("one"))
        two = add_subject(notebook, samples.subject("two"))
        main = add_camera_position(notebook, samples.camera_position(one.id))
        add_camera_position(notebook, samples.camera_position(two.id))
        with pytest.raises(BadInput, match="already has a camera position called 'main'"):
            add_camera_position(notebook, samples.camera_position(one.id, "MAIN"))
        with pytest.raises(NotFound):
            add_camera_position(notebook, samples.camera_position(99))
        update_camera_position(notebook, replace(main, distance_m=9.5, bearing=None))
    assert [p.distance_m for p in list_camera_positions(notebook, one.id)] == [9.5]
    assert len(list_camera_positions(notebook)) == 2


def test_notes_are_added_and_never_changed(notebook: Notebook) -> None:
    with notebook.writing():
        add_note(notebook, samples.note(None))
    with pytest.raises(NotebookError), notebook.writing():
        notebook.run("UPDATE notes SET text = 'something else'")
    assert [n.text for n in list_notes(notebook)] == ["left of the leat"]


def test_text_that_is_no_unicode_is_kept_as_far_as_it_goes(notebook: Notebook) -> None:
    """A name typed in a terminal of another encoding arrives with half surrogate pairs."""
    with notebook.writing():
        add_subject(notebook, samples.subject("caf\udce9"))
        add_note(notebook, samples.note(None, "\ud800 high"))
    assert [s.name for s in list_subjects(notebook)] == ["caf�"]
    assert [n.text for n in list_notes(notebook)] == ["� high"]


def test_writing_outside_a_transaction_is_a_mistake_of_the_program(notebook: Notebook) -> None:
    with pytest.raises(RuntimeError, match="writing"):
        add_subject(notebook, samples.subject())
