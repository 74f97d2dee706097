"""Kit and plates: kept as given, found by name, broken rows passed over and reported."""

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from tests.notebook import samples

from backbearing.errors import NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.bin import discard, restore
from backbearing.notebook.integrity import check
from backbearing.notebook.kit import find_batch, find_lens, forget_entry, load_kit, put_entry
from backbearing.notebook.plates import add_plate, list_plates, update_plate
from backbearing.notebook.subjects import add_subject
from backbearing.records import (
    ApertureMark,
    Batch,
    Camera,
    FocusMark,
    Holder,
    Lens,
    Plate,
    Shutter,
    ShutterSpeed,
    TrialLight,
)

BATCH = Batch(
    name="winter box",
    emulsion="ordinary",
    process="dry plate",
    speed_iso=2.0,
    tested_in=TrialLight(sun_altitude_deg=30.0, exposure_s=2.0),
    reciprocity_table=((1.0, 1.0), (10.0, 14.0)),
    holds_stops=5.0,
    filters={"yellow": 8.0},
    note="keeps till spring",
)
CAMERA = Camera(
    name="box",
    plate_wide_mm=160.0,
    plate_high_mm=100.0,
    image_wide_mm=158.0,
    image_high_mm=98.0,
    finder_crop=(0.03, 0.03, 0.1, 0.0),
)
LENS = Lens(
    name="old one",
    focal_mm=170.0,
    scale="uniform system",
    apertures=(ApertureMark(engraved="4", f_number=8.0), ApertureMark(engraved="16", f_number=16)),
    focus_marks=(
        FocusMark(engraved="∞", engraved_m=math.inf),
        FocusMark(engraved="8 m", engraved_m=8.0, tested_m=7.4),
    ),
)
SHUTTER = Shutter(
    name="cap", cap=True, speeds=(ShutterSpeed(marked="1/2", marked_s=0.5, tested_s=0.7),)
)
HOLDER = Holder(name="3", camera="box")


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as opened, opened.writing():
        yield opened


def test_every_kind_comes_back_as_it_was(notebook: Notebook) -> None:
    for entry in (BATCH, CAMERA, LENS, SHUTTER, HOLDER):
        assert put_entry(notebook, entry)
    kit = load_kit(notebook)
    back = (*kit.batches, *kit.cameras, *kit.lenses, *kit.shutters, *kit.holders)
    assert tuple(replace(entry, id=None) for entry in back) == (
        *(BATCH, CAMERA, LENS, SHUTTER, HOLDER),
    )
    assert check(notebook) == []


def test_a_second_of_the_same_name_takes_the_place_of_the_first(notebook: Notebook) -> None:
    put_entry(notebook, BATCH)
    assert not put_entry(notebook, replace(BATCH, name="Winter  Box", speed_iso=3.0))
    assert find_batch(notebook, "winter box").speed_iso == 3.0
    forget_entry(notebook, find_batch(notebook, "winter box"))
    assert load_kit(notebook).batches == ()


def test_an_unknown_name_suggests_the_nearest(notebook: Notebook) -> None:
    with pytest.raises(NotFound, match="kit blank"):
        find_batch(notebook, "winter bx")
    put_entry(notebook, BATCH)
    with pytest.raises(NotFound, match="did you mean 'winter box'"):
        find_batch(notebook, "winter bx")
    put_entry(notebook, LENS)
    with pytest.raises(NotFound, match="on record are 'old one'"):
        find_lens(notebook, "zzz")


@pytest.mark.parametrize(
    "fields", ["[]", "{", '{"speed_iso": 1, "emulsion": "pan", "bogus": 2}', '"x"', "null", "{}"]
)
def test_an_entry_that_cannot_be_read_is_passed_over(notebook: Notebook, fields: str) -> None:
    put_entry(notebook, BATCH)
    notebook.run("INSERT INTO kit (kind, name, fields) VALUES ('batch', 'x', ?)", (fields,))
    notebook.run("INSERT INTO kit (kind, name, fields) VALUES ('spoon', 'x', '{}')")
    assert [batch.name for batch in load_kit(notebook).batches] == ["winter box"]


def test_a_plate_is_kept_from_loading_to_the_negative(notebook: Notebook) -> None:
    subject = add_subject(notebook, samples.subject())
    plate = add_plate(notebook, Plate(holder="3", side="A", batch="winter box"))
    made = replace(
        plate,
        state="developed",
        subject_id=subject.id,
        exposed_at=samples.NOON,
        exposure_s=40.0,
        f_number=16.0,
        focus_mark="8 m",
        distance_m=7.4,
        shadows="thin",
        highlights="open",
        development="normal",
        note="fogged at one edge",
    )
    update_plate(notebook, made)
    assert list_plates(notebook) == [made]
    assert list_plates(notebook, subject.id) == [made]
    deleted = discard(notebook, "plate", plate.id or 0)
    assert list_plates(notebook) == []
    restore(notebook, deleted.id)
    assert list_plates(notebook) == [made]
    with pytest.raises(NotFound):
        update_plate(notebook, replace(made, id=99))


def test_nonsense_in_a_plate_counts_as_missing(notebook: Notebook) -> None:
    add_plate(notebook, Plate(holder="3", side="A", batch="winter box"))
    notebook.run("UPDATE plates SET state = 'lost', exposure_s = -4, shadows = 7, loaded_at = 'x'")
    (plate,) = list_plates(notebook)
    assert (plate.state, plate.exposure_s, plate.shadows, plate.loaded_at) == (
        "loaded",
        None,
        "",
        None,
    )


def test_plates_stay_when_their_subject_goes_and_know_it_again_when_it_comes_back(
    notebook: Notebook,
) -> None:
    subject = add_subject(notebook, samples.subject())
    plate = add_plate(
        notebook, Plate(holder="3", side="A", batch="b", state="exposed", subject_id=subject.id)
    )
    deleted = discard(notebook, "subject", subject.id or 0)
    assert [one.subject_id for one in list_plates(notebook)] == [None]
    restore(notebook, deleted.id)
    assert list_plates(notebook) == [plate]
