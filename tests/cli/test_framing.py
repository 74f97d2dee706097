"""`frame` and `focus` as they are typed."""

import json
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.kit import put_entry
from backbearing.notebook.subjects import (
    find_subject,
    list_camera_positions,
    update_camera_position,
)
from backbearing.records import ApertureMark, Bearing, Camera, FocusMark, Lens

AT = "47.003218, -21.000535"


def run(*words: str) -> str:
    done = CliRunner().invoke(main, list(words), catch_exceptions=False, standalone_mode=False)
    assert done.exception is None
    return done.stdout


@pytest.fixture(autouse=True)
def kit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BACKBEARING_NOTEBOOK", "n.gpkg")
    sizes = ("--tall", "1.8 m", "--wide", "1 m")
    run("mark", "low <wall>&", "--at", AT, *sizes)
    with open_notebook(tmp_path / "n.gpkg") as notebook, notebook.writing():
        put_entry(
            notebook,
            Camera(
                name="box",
                plate_wide_mm=165,
                plate_high_mm=105,
                image_wide_mm=160,
                image_high_mm=100,
            ),
        )
        put_entry(
            notebook,
            Lens(
                name="long",
                focal_mm=170,
                apertures=(ApertureMark(engraved="16", f_number=16.0),),
                focus_marks=tuple(
                    FocusMark(engraved=f"{m} m", engraved_m=m) for m in (30, 8, 5, 3)
                ),
            ),
        )
    return tmp_path


def schema(name: str) -> dict[str, object]:
    text = files("backbearing.schemas").joinpath(f"{name}.json").read_text("utf-8")
    return dict(json.loads(text))


def test_a_subject_that_fits_is_as_large_as_its_distance_says() -> None:
    told = json.loads(run("frame", "low <wall>&", "--distance", "6 m", "--json"))
    jsonschema.validate(told, schema("frame"))
    picture = told["picture"]
    v = 170.0 * (1 + 170.0 / (6000.0 - 170.0))
    assert picture["top_mm"] - picture["foot_mm"] == pytest.approx(v * 1.8 / 6.0)
    assert picture["right_mm"] == pytest.approx(v * 0.5 / 6.0)


def test_one_that_does_not_fit_is_told_how_far_is_enough() -> None:
    told = json.loads(run("frame", "low <wall>&", "--distance", "2 m", "--level", "--json"))
    jsonschema.validate(told, schema("frame"))
    assert told["picture"]["fits"] == "no"
    far = told["farther"]["distance_m"]
    again = json.loads(run("frame", "low <wall>&", "--distance", f"{far * 1.15:.2f} m", "--json"))
    assert again["picture"]["fits"] == "yes"


def test_the_drawing_is_sound_and_carries_no_markup_from_a_name(kit: Path) -> None:
    told = run("frame", "low <wall>&", "--distance", "6 m", "--out", "a.svg", "--card", "c.svg")
    assert "It fits" in told
    for name in ("a.svg", "c.svg"):
        root = ET.fromstring((kit / name).read_text("utf-8"))
        assert not [each for each in root.iter() if each.tag.endswith("wall")]


def test_the_card_s_hole_is_the_image_at_the_string_s_length(kit: Path) -> None:
    run("frame", "low <wall>&", "--distance", "6 m", "--card", "c.svg", "--string", "15 cm")
    root = ET.fromstring((kit / "c.svg").read_text("utf-8"))
    hole = next(each for each in root.iter() if each.get("stroke-dasharray"))
    v = 170.0 * (1 + 170.0 / (6000.0 - 170.0))
    assert float(hole.get("width") or 0) == pytest.approx(160.0 * 150.0 / v, abs=0.01)


def test_4_metres_lie_between_the_marks_5_and_3() -> None:
    told = json.loads(run("focus", "4 m", "--json"))
    jsonschema.validate(told, schema("focus"))
    (row,) = told["rows"]
    assert row["set_at"].startswith("between 5 m and 3 m")
    assert row["chosen"]["depths"][0]["near_m"] == pytest.approx(3.2, abs=0.05)
    assert row["chosen"]["depths"][0]["far_m"] == pytest.approx(5.5, abs=0.05)
    far, near = row["at_marks"]
    assert (far["mark"], far["depths"][0]["holds"]) == ("5 m", True)
    assert (near["mark"], near["depths"][0]["holds"]) == ("3 m", False)


def test_a_sheet_is_written_without_script(kit: Path) -> None:
    told = run("focus", "--near", "3 m", "--far", "12 m", "--out", "f.html")
    assert "4.80 m" in told
    assert "<script" not in (kit / "f.html").read_text("utf-8")


@pytest.mark.parametrize(
    ("words", "error"),
    [
        (("frame", "low <wall>&", "--distance", "0.1 m"), BadInput),
        (("frame", "low <wall>&", "--distance", "0 m"), BadInput),
        (("frame", "low <wall>&"), BadInput),
        (("frame", "low <wall>&", "--distance", "6 m", "--lens", "lonk"), NotFound),
        (("frame", "low <wall>&", "--distance", "6 m", "--from", "detail"), NotFound),
        (("frame", "low <wall>&", "--distance", "6 m", "--turn", "a bit"), BadInput),
        (("focus", "0.1 m"), BadInput),
        (("focus", "4 m", "--enlarged", "0"), BadInput),
        (("focus", "--near", "4 m", "--far", "3 m"), BadInput),
    ],
)
def test_bad_input_is_refused(words: tuple[str, ...], error: type[Exception]) -> None:
    with pytest.raises(error):
        CliRunner().invoke(main, list(words), catch_exceptions=False, standalone_mode=False)


def test_a_tenth_less_on_the_right_turns_left() -> None:
    told = json.loads(
        run(
            "frame",
            "low <wall>&",
            "--distance",
            "6 m",
            "--turn",
            "10 % less on the right",
            "--json",
        )
    )
    v = told["picture"]["image_distance_mm"]
    assert told["turn"]["way"] == "left"
    turned = math.degrees(math.atan(80 / v) - math.atan(64 / v))
    assert told["turn"]["turn_deg"] == pytest.approx(turned)


def test_what_the_plate_takes_is_said_in_metres_and_other_cameras_are_tried(kit: Path) -> None:
    with open_notebook(kit / "n.gpkg") as notebook, notebook.writing():
        put_entry(
            notebook,
            Camera(
                name="wide plate",
                plate_wide_mm=250,
                plate_high_mm=200,
                image_wide_mm=240,
                image_high_mm=190,
            ),
        )
    near = json.loads(run("frame", "low <wall>&", "--distance", "1.5 m", "--level", "--json"))
    part = near["part"]
    assert part["tall_m"] == pytest.approx(1.8, abs=0.01)
    high_m = 100 * 1.5 / near["picture"]["image_distance_mm"]
    assert part["high_m"] - part["low_m"] <= high_m + 1e-6
    assert "wide plate" in {other["camera"] for other in near["others"]}
    told = run("frame", "low <wall>&", "--distance", "1.5 m", "--level")
    assert "over its foot, of 1.8 m" in told
    assert "Whether a lens goes on another camera is not on record." in told
    jsonschema.validate(near, schema("frame"))


def test_what_goes_out_is_drawn_beyond_the_plate(kit: Path) -> None:
    def drawn(distance: str) -> ET.Element:
        run("frame", "low <wall>&", "--distance", distance, "--out", "p.svg", "--overwrite")
        return ET.fromstring((kit / "p.svg").read_text("utf-8"))

    def dotted(root: ET.Element) -> list[ET.Element]:
        return [e for e in root.iter() if e.get("stroke-dasharray") == "2 4"]

    assert not dotted(drawn("12 m"))
    near = drawn("1.5 m")
    (outline,) = dotted(near)
    wide, down = map(float, near.attrib["viewBox"].split()[2:])
    corners = [
        tuple(map(float, spot.split())) for spot in outline.attrib["d"].strip("MZ").split("L")
    ]
    assert all(0.0 <= x <= wide and 0.0 <= y <= down for x, y in corners)
    assert "dotted: what goes out" in ET.tostring(near, encoding="unicode")


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_sheet_names_its_paper(kit: Path, paper: str) -> None:
    run("focus", "--out", "f.html", "--paper", paper)
    text = (kit / "f.html").read_text("utf-8")
    assert f"size: {paper.capitalize()};" in text
    assert "<script" not in text


def measured(*more: str) -> None:
    """A thing 7.1 m tall seen from 8 m: 38° to its top, 6° down to its foot; edges at 193, 238."""
    run("mark", "house", "--at", AT, "--bearing", "215T", "--distance", "8 m", *more)
    run("edit", "house", "--top", "38", "--foot", "-6")
    with open_notebook(Path("n.gpkg")) as notebook, notebook.writing():
        subject = find_subject(notebook, "house")
        (position,) = list_camera_positions(notebook, subject.id)
        edges = [
            Bearing(true_deg=each, error_deg=2.0, as_written=f"{each:g}T")
            for each in (193.0, 238.0)
        ]
        update_camera_position(notebook, replace(position, left_edge=edges[0], right_edge=edges[1]))


def test_angles_measured_from_one_distance_are_carried_to_another() -> None:
    """Height 8 m · (tan 38° + tan 6°) = 7.09 m and width 2 · 8 m · tan 22½° = 6.63 m stay so."""
    measured()
    tall_m = 8.0 * (math.tan(math.radians(38.0)) + math.tan(math.radians(6.0)))
    for distance_m in (8.0, 22.0, 200.0):
        told = json.loads(run("frame", "house", "--distance", f"{distance_m} m", "--json"))
        view = told["view"]
        slopes = [math.tan(math.radians(view[each])) for each in ("top_deg", "foot_deg")]
        assert distance_m * (slopes[0] - slopes[1]) == pytest.approx(tall_m, rel=1e-6)
        half = math.tan(math.radians(view["half_wide_deg"]))
        assert 2.0 * distance_m * half == pytest.approx(16.0 * math.tan(math.radians(22.5)))
        moved = any("carried over level ground" in each for each in told["rests_on"])
        assert moved == (distance_m != 8.0)
    assert told["picture"]["fits"] == "yes"


def test_far_enough_is_far_enough() -> None:
    """What it says as told, typed back: by angles, and by sizes."""
    measured()
    for words in (["house"], ["low <wall>&", "--distance", "1.5 m"]):
        said = re.search(r"Far enough: ([\d.]+ m)", run("frame", *words, "--level"))
        assert said is not None
        again = json.loads(run("frame", words[0], "--distance", said[1], "--level", "--json"))
        assert again["picture"]["fits"] == "yes"


@pytest.mark.parametrize("angle_deg", [90.0, 200.0])
def test_angles_that_cannot_be_give_no_number(angle_deg: float) -> None:
    """A row that something else wrote."""
    measured()
    with open_notebook(Path("n.gpkg")) as notebook, notebook.writing():
        notebook.connection.execute("UPDATE camera_positions SET top_deg = ?", [angle_deg])
    with pytest.raises(BadInput, match="cannot be"):
        run("frame", "house")


@pytest.mark.parametrize("words", [("--top", "38", "--foot", "40"), ("--foot", "38")])
def test_a_top_under_the_foot_is_refused_where_it_is_typed(words: tuple[str, ...]) -> None:
    measured()
    with pytest.raises(BadInput, match="does not lie above the foot"):
        run("edit", "house", *words)


@pytest.mark.parametrize("times", ["1e-300", "0", "nan", "1000"])
def test_a_print_is_enlarged_by_no_absurd_number(times: str) -> None:
    with pytest.raises(BadInput, match=r"is none.*0\.1 to 100"):
        run("focus", "--enlarged", times)


def test_a_strip_goes_into_no_file_of_another_kind(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"neither in \.svg nor in \.png"):
        run("skyline", "low <wall>&", "--out", "a.gif")
    assert not (tmp_path / "a.gif").exists()
