"""`passage` as it is typed: put on record, looked at again, listed, deleted and brought back."""

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.integrity import check

SCHEMA = json.loads((files("backbearing.schemas") / "passage.json").read_text(encoding="utf-8"))
BRIDGE = ("passage", "add", "plank bridge", "47.0062 N 20.9890 W", "--kind", "bridge")
FORD = ("passage", "add", "upper ford", "47.0084 N 20.9848 W", "--kind", "ford")


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    return tmp_path / "notebook.gpkg"


def run(notebook: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", str(notebook), *words])


def answer(notebook: Path, *words: str) -> dict:  # type: ignore[type-arg]
    done = run(notebook, *words, "--json")
    assert done.exception is None, done.exception
    found = json.loads(done.stdout)
    jsonschema.validate(found, SCHEMA)
    return found  # type: ignore[no-any-return]


def test_what_was_found_is_added_and_what_was_found_before_stays(notebook: Path) -> None:
    first = answer(notebook, *BRIDGE, "--state", "open", "--on", "2025-06-01")
    assert first["passages"][0]["chance"] > 0.9
    looked = ("--found", "looked blocked", "--cause", "windfall", "--side", "the north")
    second = answer(
        notebook, "passage", "try", "Plank  bridge", *looked, "--on", "2026-03-14", "--note", "x"
    )
    (line,) = second["passages"]
    assert line["chance"] < 0.5
    assert [(r["state"], r["on"]) for r in line["passage"]["reports"]] == [
        ("open", "2025-06-01"),
        ("looked blocked", "2026-03-14"),
    ]
    third = answer(notebook, "passage", "try", "plank bridge", "--found", "open")
    assert third["passages"][0]["chance"] > 0.9
    assert len(third["passages"][0]["passage"]["reports"]) == 3
    shown = run(notebook, "passage", "list", "plank bridge").stdout.splitlines()
    assert "common practice, no source" in shown[2]
    assert shown[3].startswith("  found open, ")
    assert shown[4:] == [
        "  looked blocked, not tried, windfall, seen from the north, 14 Mar 2026: x",
        "  found open, 1 Jun 2025",
    ]


def test_a_report_of_an_earlier_day_is_no_news(notebook: Path) -> None:
    """Typed up late, it goes where it belongs: the latest by day is what counts."""
    answer(notebook, *BRIDGE, "--state", "open", "--on", "2026-06-01")
    late = answer(
        notebook, "passage", "try", "plank bridge", "--found", "blocked", "--on", "2025-06-01"
    )
    assert late["passages"][0]["last_found"] == "found open, 1 Jun 2026"


def test_those_near_a_place_come_nearest_first_with_bearing(notebook: Path) -> None:
    for words in (FORD, BRIDGE):
        run(notebook, *words)
    found = answer(notebook, "passage", "list", "--near", "47.0062 N 20.9903 W", "--within", "1km")
    assert [line["passage"]["name"] for line in found["passages"]] == ["plank bridge", "upper ford"]
    # 0.0013° of longitude at 47.0062° N: 76.05 km a degree (WGS 84), due east
    assert found["passages"][0]["away_m"] == pytest.approx(98.9, abs=0.3)
    assert found["passages"][0]["bearing_deg"] == pytest.approx(90.0, abs=0.1)
    nearer = answer(notebook, "passage", "list", "--near", "47.0062 N 20.9903 W", "--within", "99m")
    assert len(nearer["passages"]) == 1
    none = run(notebook, "passage", "list", "--near", "47.1 N 20.9903 W")
    assert none.stdout == ""
    assert "no passages on record within 2 km" in none.stderr


def test_without_a_report_the_kind_speaks(notebook: Path) -> None:
    assert answer(notebook, *BRIDGE)["passages"][0]["last_found"] == "never looked at"
    shown = run(notebook, "passage", "list").stdout
    assert "90 %" in shown


def test_the_bin_takes_it_with_its_history_and_gives_it_back(notebook: Path) -> None:
    before = answer(notebook, *BRIDGE, "--state", "open", "--on", "2026-06-01")
    gone = run(notebook, "delete", "--passage", "plank bridge")
    assert "with 1 report, is in the bin" in gone.stdout
    assert answer(notebook, "passage", "list")["passages"] == []
    run(notebook, *BRIDGE)
    refused = run(notebook, "restore", "1")
    assert isinstance(refused.exception, BadInput)
    assert "already on record" in str(refused.exception)
    run(notebook, "delete", "--passage", "plank bridge")
    run(notebook, "restore", "1")
    after = answer(notebook, "passage", "list", "plank bridge")
    assert after["passages"] == before["passages"]
    with open_notebook(notebook, readonly=True) as book:
        assert check(book) == []


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (
            ("try", "plank bridge", "--found", "open", "--cause", "snow"),
            "open passage has no cause",
        ),
        (("try", "plank bridge", "--found", "unknown", "--cause", "snow"), "needs a state"),
        (
            ("try", "plank bridge", "--found", "blocked", "--cause", "ran out of time"),
            "does not tell that it is blocked",
        ),
        (("try", "plank bridge", "--found", "open", "--on", "2099-01-01"), "still to come"),
        (("try", "plank bridge", "--found", "open", "--on", "soon"), "not a day"),
        (("try", "plank bridge", "--found", "open", "--note", "x" * 30_000), "longer than"),
        (("add", "PLANK bridge", "47 N 21 W", "--kind", "ford"), "already on record"),
        (("add", " ", "47 N 21 W", "--kind", "ford"), "needs a name"),
        (("list", "--within", "1km"), "needs a place"),
        (("list", "plank bridge", "--near", "47 N 21 W"), "not both"),
    ],
)
def test_what_makes_no_sense_is_said(notebook: Path, words: tuple[str, ...], why: str) -> None:
    run(notebook, *BRIDGE)
    done = run(notebook, "passage", *words)
    assert isinstance(done.exception, BadInput)
    assert why in str(done.exception)
    assert len(answer(notebook, "passage", "list")["passages"]) == 1


def test_running_out_of_time_says_nothing_of_the_passage(notebook: Path) -> None:
    before = answer(notebook, *BRIDGE)
    tried = ("--found", "looked blocked", "--cause", "ran out of time")
    after = answer(notebook, "passage", "try", "plank bridge", *tried)
    assert after["passages"][0]["chance"] == before["passages"][0]["chance"]
    assert after["passages"][0]["last_found"].startswith("not reached, ran out of time")


def test_it_is_a_place_as_others_are(notebook: Path) -> None:
    for words in (BRIDGE, FORD):
        run(notebook, *words)
    near = answer(notebook, "passage", "list", "--near", "upper ford + 180T 100m")
    assert near["near"] == "upper ford + 180T 100m"
    assert near["passages"][0]["passage"]["name"] == "upper ford"
    assert near["passages"][0]["away_m"] == pytest.approx(100.0, abs=0.1)
    missed = run(notebook, "passage", "list", "--near", "uper ford")
    assert isinstance(missed.exception, NotFound)
    assert "'upper ford'" in str(missed.exception)


def test_an_unknown_name_hears_the_nearest(notebook: Path) -> None:
    run(notebook, *BRIDGE)
    done = run(notebook, "passage", "try", "plonk bridge", "--found", "open")
    assert isinstance(done.exception, NotFound)
    assert "'plank bridge'" in str(done.exception)
