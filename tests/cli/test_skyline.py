"""`skyline` as it is typed."""

import json
import xml.etree.ElementTree as ET
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.plans.demo import demo_terrain

PLACE = "47.003218, -21.000535"
HOSTILE = "</text><script>alert(1)</script>&\u202e"


def run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, list(words), catch_exceptions=False, standalone_mode=False)
    return done.exit_code, done.stdout, done.stderr


@pytest.fixture
def island(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A notebook with the demo's ground and one subject of a hostile name."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("BACKBEARING_NOTEBOOK", "n.gpkg")
    assert run("terrain", "add", *map(str, demo_terrain()), "--ground", "bare")[0] == 0
    assert run("mark", HOSTILE.replace("\u202e", ""), "--at", PLACE)[0] == 0
    return tmp_path


def test_the_answer_names_what_blocks_and_when_the_sun_comes(island: Path) -> None:
    code, out, _ = run("skyline", PLACE, "--date", "2026-12-21")
    assert code == 0
    assert "The highest is the ground" in out
    assert "21 Dec 2026:" in out
    assert "comes over the ground" in out
    assert "The sun reaches here" in out
    assert "Never look at the sun" in out
    assert "█" in out


def test_without_a_notebook_the_horizon_is_flat(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, _ = run("--notebook", "none.gpkg", "skyline", "-33.9000, 18.4000")
    assert code == 0
    assert "Flat horizon assumed" in out
    assert not (tmp_path / "none.gpkg").exists()


def test_the_json_keeps_to_its_schema(island: Path) -> None:
    schema = json.loads(files("backbearing.schemas").joinpath("skyline.json").read_text("utf-8"))
    for place in (PLACE, "52.000000, -1.000000"):
        _, out, _ = run("skyline", place, "--json")
        jsonschema.validate(json.loads(out), schema)


def test_the_strip_is_one_sound_file_whatever_the_name(island: Path) -> None:
    name = HOSTILE.replace("\u202e", "")
    for target in ("a.svg", "b.svg"):
        assert run("skyline", name, "--date", "2026-06-21", "--out", target)[0] == 0
    svg = (island / "a.svg").read_bytes()
    assert svg == (island / "b.svg").read_bytes()
    root = ET.fromstring(svg)
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert "script" not in tags
    assert {"title", "path", "pattern"} <= tags
    texts = [element.text or "" for element in root.iter()]
    assert any("<script>alert(1)</script>" in text for text in texts)  # as words, not as markup
    assert b"href" not in svg
    # nothing is asked of any network: the one address is the name of SVG itself
    assert svg.count(b"http") == svg.count(b"http://www.w3.org/2000/svg") == 1


def test_a_file_that_stands_there_is_kept(island: Path) -> None:
    (island / "a.svg").write_text("mine")
    done = CliRunner().invoke(main, ["skyline", PLACE, "--out", "a.svg"])
    assert done.exception is not None
    assert "already stands there" in str(done.exception)
    assert (island / "a.svg").read_text() == "mine"
