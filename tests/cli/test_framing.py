"""`frame` and `focus` as they are typed."""

import json
import math
import xml.etree.ElementTree as ET
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.kit import put_entry
from backbearing.records import ApertureMark, Camera, FocusMark, Lens

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
