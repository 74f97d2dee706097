"""`frame` and `focus` on the demo's island, without terrain and with it."""

import json
import xml.etree.ElementTree as ET
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from click.testing import CliRunner

from backbearing.cli.main import main

ROOT = Path(__file__).parent.parent.parent


def run(*words: str) -> str:
    done = CliRunner().invoke(main, list(words), catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return done.stdout


def answer(command: str, *words: str) -> Any:
    found = json.loads(run(command, *words, "--json"))
    schema = json.loads((files("backbearing.schemas") / f"{command}.json").read_text("utf-8"))
    jsonschema.Draft202012Validator(schema).validate(found)
    return found


@pytest.fixture
def island(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BACKBEARING_NOTEBOOK", "n.gpkg")
    run("setting", "zone", "Atlantic/Azores")
    run("import", str(ROOT / "demo_routes"))
    run("kit", "take", str(ROOT / "demo_routes" / "kit.toml"))
    return tmp_path


def test_without_terrain_the_ground_is_not_known_and_with_it_told_with_care(island: Path) -> None:
    bare = answer("frame", "winding house")
    assert bare["sky"] is None
    assert bare["farther"]["behind"] is None
    assert "no terrain is on record" in bare["farther"]["ground"]
    run("terrain", "add", *(str(each) for each in sorted((ROOT / "maps").glob("ground_*.tif"))))
    known = answer("frame", "winding house")
    assert known["sky"]["share"] == pytest.approx(0.0, abs=0.05)  # hemmed in by the quarry
    behind = known["farther"]["behind"]
    assert behind["known_m"] >= known["farther"]["back_m"] - 0.01
    assert "does not say there is none" in run("frame", "winding house")
    # all else is the same: the fit does not rest on terrain
    assert known["picture"] == bare["picture"]
    assert known["farther"]["times"] == bare["farther"]["times"]


def test_drawing_card_and_sheet_are_made_of_the_demos_kit(island: Path) -> None:
    with_front = ("--camera", "folding half plate", "--lens", "view lens")
    run("frame", "winding house", *with_front, "--out", "plate.svg", "--card", "card.svg")
    for name in ("plate.svg", "card.svg"):
        assert ET.fromstring((island / name).read_text("utf-8")).tag.endswith("svg")
    told = run("frame", "winding house", *with_front, "--turn", "10 % less on the right")
    assert "or shift the front left as far" in told
    table = answer("focus", "4 m", "--out", "focus.html")
    (row,) = table["rows"]
    assert (row["wide_m"], row["high_m"]) == pytest.approx((3.60, 2.25), abs=0.01)
    assert row["set_at"].startswith("between 5 m and 3 m")
    assert "between 5 m and 3 m" in (island / "focus.html").read_text("utf-8")
