"""The demo does the whole job by the same plans as the commands, on files of its own."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from backbearing.errors import BadInput
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import list_camera_positions, list_subjects
from backbearing.plans import demo
from backbearing.plans.demo import (
    EXPORT,
    MARKER,
    NOTEBOOK,
    PAGE,
    WISHES,
    DemoAnswer,
    demo_folder,
    demo_routes,
    prepare_folder,
)


def test_every_file_is_taken_and_every_record_finds_its_walk(novembers_answer: DemoAnswer) -> None:
    answer = novembers_answer
    assert answer.imported.all_good
    assert answer.imported.count("stored") == len(answer.imported.files) == 11
    (notes,) = [file.notes for file in answer.imported.files if file.notes is not None]
    assert notes.count("unplaced note") == 0
    assert notes.count("new subject") == 5
    assert not [line.problems for line in notes.lines if line.problems]


def test_subjects_lie_within_their_error_of_where_they_truly_are(
    demo_of_november: Path,
) -> None:
    """The generator knows the truth; the tracks and the notes only tell of it."""
    import json

    from backbearing.places.geodesy import inverse

    truth = json.loads((demo_routes() / "places.json").read_text())
    with open_notebook(demo_of_november / NOTEBOOK, readonly=True) as notebook:
        subjects = list_subjects(notebook)
        cameras = list_camera_positions(notebook)
    assert {s.name for s in subjects} == {*WISHES, "powder hut"}
    for subject in subjects:
        true = truth[subject.name]
        _, off_m = inverse(
            subject.place.latitude_deg,
            subject.place.longitude_deg,
            true["latitude_deg"],
            true["longitude_deg"],
        )
        assert off_m < subject.place.error_m, subject.name
    bearings = {c.subject_id: c.bearing for c in cameras}
    (house,) = [s for s in subjects if s.name == "winding house"]
    bearing = bearings[house.id]
    assert bearing is not None
    assert bearing.true_deg == pytest.approx(209, abs=1)  # 215 magnetic, 6° west
    assert house.next_time.startswith("come by the coast path")


def test_light_is_found_at_every_subject_and_the_page_has_them_all(
    novembers_answer: DemoAnswer,
) -> None:
    answer = novembers_answer
    assert {w.subject for w in answer.light.windows} == set(WISHES)
    # under the headwall its default, a low sun, never clears the ridge; that is said, with a remedy
    assert [one.subject for one in answer.light.unmatched] == ["powder hut"]
    assert all(w.zone == demo.ZONE for w in answer.light.windows)
    assert answer.light.start == date(2026, 11, 28)
    assert answer.page.start == answer.sheet.outing.day  # page and sheet plan one day
    assert {one.subject.name for one in answer.page.subjects} == {*WISHES, "powder hut"}
    assert len(answer.page.tracks) == 6
    assert len(answer.export.subjects) == 5


def test_the_ground_changes_when_the_winding_house_has_sun_and_says_by_what(
    novembers_answer: DemoAnswer,
) -> None:
    answer = novembers_answer
    over = {w.day: w for w in answer.light.windows if w.subject == "winding house"}
    flat = {w.day: w for w in answer.flat.windows}
    day = min(over.keys() & flat.keys())
    assert (over[day].start - flat[day].start).total_seconds() >= 15 * 60
    assert "at first sun over ground" in over[day].why
    assert "terrain of 10 m cells" in over[day].rests_on[0]
    assert "flat horizon assumed" in flat[day].rests_on[0]


def test_running_again_replaces_only_what_the_demo_made(tmp_path: Path) -> None:
    prepare_folder(tmp_path / "a")
    for name in (NOTEBOOK, PAGE, EXPORT):
        (tmp_path / "a" / name).write_text("old")
    prepare_folder(tmp_path / "a")
    assert {p.name for p in (tmp_path / "a").iterdir()} == {MARKER}


@pytest.mark.parametrize("name", [NOTEBOOK, "notebook.gpkg", PAGE])
def test_a_folder_with_files_of_the_users_is_refused_untouched(tmp_path: Path, name: str) -> None:
    """Also where a file has a name the demo would use: without the marker it is not the demo's."""
    (tmp_path / name).write_text("mine")
    with pytest.raises(BadInput, match="did not make"):
        prepare_folder(tmp_path)
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [(name, "mine")]


def test_a_strange_file_beside_the_demos_own_stops_it(tmp_path: Path) -> None:
    prepare_folder(tmp_path)
    (tmp_path / NOTEBOOK).write_text("old")
    (tmp_path / "plate.txt").write_text("mine")
    with pytest.raises(BadInput, match=r"'plate\.txt'"):
        prepare_folder(tmp_path)
    assert (tmp_path / NOTEBOOK).read_text() == "old"


def test_a_link_among_the_demos_names_is_cut_and_not_followed(tmp_path: Path) -> None:
    mine = tmp_path / "mine.gpkg"
    mine.write_text("mine")
    prepare_folder(tmp_path / "demo")
    (tmp_path / "demo" / NOTEBOOK).symlink_to(mine)
    prepare_folder(tmp_path / "demo")
    assert mine.read_text() == "mine"
    assert not (tmp_path / "demo" / NOTEBOOK).exists()


def test_a_folder_that_cannot_be_made_is_bad_input(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInput, match="cannot write there"):
        prepare_folder(tmp_path / "file" / "demo")


def test_in_a_checkout_the_demo_lands_in_maps(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert demo_folder().parts[-2:] == ("maps", "demo")
    package = tmp_path / "site-packages" / "backbearing"
    inside = package / "demo_data" / "demo_routes"
    inside.mkdir(parents=True)
    (inside / "notes.txt").write_text("")
    monkeypatch.setattr(demo, "_package", lambda: package)
    assert demo_folder() == Path("backbearing-demo")
    assert demo_routes() == inside
