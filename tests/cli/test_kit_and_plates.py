"""`kit` and `plate` as they are typed: from a file to a finished negative, and what is refused."""

import json
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result
from tests.notebook import samples

from backbearing.cli.main import main
from backbearing.errors import BadFile, BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.readers.kit import read_kit

SCHEMAS = {
    name: json.loads((files("backbearing.schemas") / f"{name}.json").read_text(encoding="utf-8"))
    for name in ("kit", "plate")
}
BATCH = "dry plates, first coating"


def run(notebook: Path, *words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", str(notebook), *words])


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    path = tmp_path / "notebook.gpkg"
    with open_notebook(path, create=True) as book, book.writing():
        add_subject(book, samples.subject("arch"))
    blank = run(path, "kit", "blank").stdout
    (tmp_path / "kit.toml").write_text(blank, encoding="utf-8")
    assert run(path, "kit", "take", str(tmp_path / "kit.toml")).exit_code == 0
    return path


def plates(result: Result) -> list[dict[str, object]]:
    answer = json.loads(result.stdout)
    jsonschema.validate(answer, SCHEMAS["plate"])
    return [line["plate"] for line in answer["plates"]]


def test_the_blank_is_a_whole_kit_and_names_no_maker(tmp_path: Path) -> None:
    blank = run(tmp_path / "none.gpkg", "kit", "blank").stdout
    kit = read_kit("kit.toml", content=blank.encode())
    assert len(kit.batches) == 3
    assert kit.lenses[0].apertures[3].f_number == pytest.approx(22.63, abs=0.01)
    assert all(batch.process for batch in kit.batches)


def test_taken_again_nothing_changes_and_an_edit_is_told(notebook: Path, tmp_path: Path) -> None:
    file = tmp_path / "kit.toml"
    again = json.loads(run(notebook, "kit", "take", str(file), "--json").stdout)
    jsonschema.validate(again, SCHEMAS["kit"])
    assert again["taken"]["new"] == again["taken"]["changed"] == []
    file.write_text(
        file.read_text(encoding="utf-8").replace("speed = 2 ", "speed = 3 "), encoding="utf-8"
    )
    changed = run(notebook, "kit", "take", str(file)).stdout
    assert f"changed: batch {BATCH}" in changed


def test_a_broken_file_changes_nothing(notebook: Path, tmp_path: Path) -> None:
    before = run(notebook, "kit", "list").stdout
    (tmp_path / "bad.toml").write_text('[[lens]]\nname = "x"\nfocal = "0 mm"\n', encoding="utf-8")
    assert isinstance(run(notebook, "kit", "take", str(tmp_path / "bad.toml")).exception, BadFile)
    assert run(notebook, "kit", "list").stdout == before


def test_the_list_says_what_an_old_scale_means(notebook: Path) -> None:
    words = run(notebook, "kit", "list").stdout
    assert "uniform system 4, 8, 16, 32, 64, which is f/8, f/11.3, f/16, f/22.6, f/32" in words
    answer = json.loads(run(notebook, "kit", "list", "--json").stdout)
    jsonschema.validate(answer, SCHEMAS["kit"])
    assert len(answer["kit"]["cameras"]) == 2


def test_kit_is_forgotten_by_kind_where_names_are_shared(notebook: Path, tmp_path: Path) -> None:
    (tmp_path / "two.toml").write_text('[[shutter]]\nname = "view lens"\n', encoding="utf-8")
    run(notebook, "kit", "take", str(tmp_path / "two.toml"))
    assert isinstance(run(notebook, "kit", "forget", "view lens").exception, NotFound)
    assert run(notebook, "kit", "forget", "shutter view lens").exit_code == 0
    assert run(notebook, "kit", "forget", "view lens").exit_code == 0


def test_a_plate_from_loading_to_the_negative(notebook: Path) -> None:
    loaded = plates(run(notebook, "plate", "load", "1", "--batch", BATCH, "--json"))
    assert [(p["holder"], p["side"], p["state"]) for p in loaded] == [
        *(("1", "A", "loaded"), ("1", "B", "loaded")),
    ]
    exposed = run(
        notebook,
        *("plate", "expose", "1a", "arch", "--time", "40s", "--aperture", "32"),
        *("--lens", "old lens, Uniform System", "--mark", "5 m", "--distance", "4m"),
        *("--at", "2026-03-14 14:32", "--json"),
    )
    (plate,) = plates(exposed)
    assert plate["f_number"] == pytest.approx(22.63, abs=0.01)
    assert plate["exposure_s"] == 40.0
    words = run(notebook, "plate", "list", "--state", "loaded").stdout
    assert "1B" in words
    assert "1A" not in words.split("still loaded")[0]
    assert "1 plate still loaded; empty: 2A, 2B" in words
    done = run(notebook, "plate", "develop", "1A", "--shadows", "thin", "--highlights", "blocked")
    assert "half a stop to a stop more exposure" in done.stdout
    assert "softer light, or less development" in done.stdout
    again = plates(run(notebook, "plate", "develop", "1A", "--shadows", "full", "--json"))
    assert (again[0]["shadows"], again[0]["highlights"]) == ("full", "blocked")


def test_a_subject_shows_its_plates(notebook: Path) -> None:
    assert "plates" not in run(notebook, "show", "arch").stdout
    run(notebook, "plate", "load", "1A", "--batch", BATCH)
    run(notebook, "plate", "expose", "1A", "arch", "--time", "40s", "--at", "2026-03-14 14:32")
    run(notebook, "plate", "develop", "1A", "--shadows", "empty")
    words = run(notebook, "show", "arch").stdout
    assert f"2026-03-14  1A: 40 s; {BATCH}; shadows empty; shadows empty: one to two" in words
    answer = json.loads(run(notebook, "show", "arch", "--json").stdout)
    show = json.loads((files("backbearing.schemas") / "show.json").read_text(encoding="utf-8"))
    jsonschema.validate(answer, show)
    assert len(answer["plates"]) == 1


def test_a_side_is_never_exposed_or_loaded_twice(notebook: Path) -> None:
    run(notebook, "plate", "load", "1A", "--batch", BATCH)
    twice = run(notebook, "plate", "load", "1A", "--batch", BATCH)
    assert isinstance(twice.exception, BadInput)
    assert "holds a plate of" in str(twice.exception)
    expose = ("plate", "expose", "1A", "arch", "--time", "2s")
    assert run(notebook, *expose).exit_code == 0
    again = run(notebook, *expose)
    assert isinstance(again.exception, BadInput)
    assert "exposed already" in str(again.exception)
    run(notebook, "plate", "develop", "1A")
    assert run(notebook, "plate", "load", "1A", "--batch", BATCH).exit_code == 0


@pytest.mark.parametrize(
    ("words", "error", "why"),
    [
        (("load", "9A", "--batch", BATCH), NotFound, "names no holder"),
        (("load", "1C", "--batch", BATCH), BadInput, "sides A to B"),
        (("load", "1", "1A", "--batch", BATCH), BadInput, "named twice"),
        (("load", "1A", "--batch", "dry plate, first"), NotFound, "did you mean"),
        (("expose", "1A", "arch", "--time", "2s"), BadInput, "is not loaded"),
        (("expose", "1", "arch", "--time", "2s"), BadInput, "has 2 sides"),
        (("expose", "1A", "arch", "--time", "2s", "--aperture", "32"), BadInput, "f/22.6"),
        (("expose", "1A", "arck", "--time", "2s"), NotFound, "arch"),
        (("expose", "1A", "arch", "--time", "0s"), BadInput, "takes some time"),
        (("expose", "1A", "arch", "--time", "2s", "--at", "2099-01-01 12:00"), BadInput, "to come"),
        (("develop", "1A"), BadInput, "holds no exposed plate"),
        (("forget", "77"), NotFound, "no plate number 77"),
        (("list", "--subject", "arck"), NotFound, "arch"),
    ],
)
def test_what_cannot_be_is_refused(
    notebook: Path, words: tuple[str, ...], error: type[Exception], why: str
) -> None:
    result = run(notebook, "plate", *words)
    assert isinstance(result.exception, error)
    assert why in str(result.exception)


def test_a_mistake_goes_to_the_bin_and_comes_back(notebook: Path) -> None:
    (plate,) = plates(run(notebook, "plate", "load", "1A", "--batch", BATCH, "--json"))
    told = run(notebook, "plate", "forget", str(plate["id"])).stderr
    assert "backbearing restore 1" in told
    assert plates(run(notebook, "plate", "list", "--json")) == []
    assert run(notebook, "restore", "1").exit_code == 0
    assert len(plates(run(notebook, "plate", "list", "--json"))) == 1
