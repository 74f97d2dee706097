"""A notebook asked for 'once written' stands as soon as something is in it, and not before."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.notebook import samples

from backbearing.cli.main import main
from backbearing.errors import BackbearingError, BadInput, NotebookBusy, NotebookError
from backbearing.notebook import open_notebook
from backbearing.notebook.integrity import check
from backbearing.notebook.settings import get_setting, set_setting
from backbearing.notebook.subjects import add_subject, list_subjects
from backbearing.records import Place, Subject

PLACE = Place(latitude_deg=47, longitude_deg=-21, error_m=10, error_basis="given")


def put(path: Path, name: str) -> None:
    with open_notebook(path, create="once written") as notebook, notebook.writing():
        add_subject(notebook, Subject(name=name, place=PLACE))


def test_the_first_transaction_makes_the_file_and_the_next_goes_on_in_it(tmp_path: Path) -> None:
    path = tmp_path / "folder" / "n.gpkg"
    with open_notebook(path, create="once written") as notebook:
        assert list_subjects(notebook) == []
        assert not path.parent.exists()
        with notebook.writing():
            set_setting(notebook, "zone", "Atlantic/Azores")
            assert not path.exists()
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
        with notebook.writing():
            add_subject(notebook, Subject(name="arch", place=PLACE))
    put(path, "adit")
    with open_notebook(path) as notebook:
        assert [s.name for s in list_subjects(notebook)] == ["adit", "arch"]
        assert get_setting(notebook, "zone") == "Atlantic/Azores"
        assert check(notebook) == []
    assert [p.name for p in path.parent.iterdir()] == ["n.gpkg"]


def test_what_comes_to_nothing_leaves_nothing(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "n.gpkg", create="once written") as notebook:
        with pytest.raises(BadInput), notebook.writing():
            set_setting(notebook, "no such key", "x")
        assert list_subjects(notebook) == []
    assert list(tmp_path.iterdir()) == []


def test_of_two_that_make_it_at_once_the_second_is_told_and_overwrites_nothing(
    tmp_path: Path,
) -> None:
    path = tmp_path / "n.gpkg"
    with open_notebook(path, create="once written") as late:
        put(path, "first")
        with pytest.raises(NotebookBusy, match="run it again"), late.writing():
            add_subject(late, Subject(name="second", place=PLACE))
    put(path, "second")
    with open_notebook(path) as notebook:
        assert [s.name for s in list_subjects(notebook)] == ["first", "second"]


def test_a_folder_that_may_not_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(NotebookError, match="cannot be made"):
        put(tmp_path / "file" / "n.gpkg", "arch")


@pytest.mark.parametrize(
    "words",
    [
        ["mark", "arch", "--at", "somewhere"],
        ["mark", "arch", "--at", "91 N 200 W"],
        ["mark", "arch", "--at", "47.01 N 21.02 W", "--bearing", "999M"],
        ["mark", "arch", "--at", "47.01 N 21.02 W", "--camera-position", "leat"],
        ["import", "no-such-file.gpx"],
        ["import", "bad.gpx"],
        ["import", "bad.gpx", "empty.gpx"],
        ["setting", "zone", "Mars/Olympus"],
        ["setting", "tide", "high"],
        ["note", "arch", "a remark"],
        ["want", "arch", "--sun"],
        ["light", "arch"],
    ],
)
def test_a_command_that_fails_leaves_no_empty_notebook(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("bad.gpx").write_text("<gpx><trk>", encoding="utf-8")
    Path("empty.gpx").touch()
    before = set(tmp_path.iterdir())
    result = CliRunner().invoke(main, ["--notebook", "new/n.gpkg", *words])
    assert result.exit_code != 0
    assert isinstance(result.exception, BackbearingError | SystemExit)
    assert set(tmp_path.iterdir()) == before


def test_a_track_of_many_fixes_is_whole_in_the_file(tmp_path: Path) -> None:
    """The first transaction may be a large one."""
    from backbearing.notebook import tracks

    walked = samples.track(samples.segment(50_000))
    path = tmp_path / "n.gpkg"
    with open_notebook(path, create="once written") as notebook, notebook.writing():
        original = tracks.store_original(notebook, samples.original())
        number = tracks.store_track(notebook, original, walked, samples.summary(walked))
    with open_notebook(path) as notebook:
        assert len(tracks.load_track(notebook, number).segments[0].time) == 50_000
