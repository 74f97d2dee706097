"""`export gpx` as it is typed."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.readers.gpx import read_gpx


@pytest.fixture(autouse=True)
def notebook(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("notes.txt").write_text(
        "47.0123 N 21.0456 W seen arch, 215M 8m\n47.0200 N 21.0500 W seen pump wheel\n"
    )
    assert export("import", "notes.txt").exit_code == 0
    return tmp_path / "notebook.gpkg"


def export(*words: str) -> Result:
    return CliRunner().invoke(main, ["--notebook", "notebook.gpkg", *words])


def names(text: str) -> list[str]:
    return [w.name for w in read_gpx("out.gpx", content=text.encode()).waypoints]


def test_all_subjects_and_their_camera_positions_to_stdout() -> None:
    done = export("export", "gpx")
    assert names(done.stdout) == ["arch", "arch, camera", "pump wheel"]
    assert done.stderr == ""


def test_only_those_named_and_each_once() -> None:
    assert names(export("export", "gpx", "pump wheel", "Pump Wheel").stdout) == ["pump wheel"]
    assert isinstance(export("export", "gpx", "pump whell").exception, NotFound)


def test_to_a_file_that_is_not_overwritten_unasked() -> None:
    done = export("export", "gpx", "--out", "out.gpx")
    assert done.stdout == ""
    assert "written to out.gpx" in done.stderr
    before = Path("out.gpx").read_bytes()
    again = export("export", "gpx", "arch", "--out", "out.gpx")
    assert isinstance(again.exception, BadInput)
    assert "--overwrite" in str(again.exception)
    assert Path("out.gpx").read_bytes() == before
    assert export("export", "gpx", "arch", "--out", "out.gpx", "--overwrite").exit_code == 0
    assert names(Path("out.gpx").read_text(encoding="utf-8")) == ["arch", "arch, camera"]


def test_nothing_on_record_is_said(tmp_path: Path) -> None:
    open_notebook(tmp_path / "empty.gpkg", create=True).close()
    done = CliRunner().invoke(main, ["--notebook", "empty.gpkg", "export", "gpx"])
    assert isinstance(done.exception, NotFound)
    assert "no subject is on record" in str(done.exception)


def test_help_lists_the_kinds() -> None:
    shown = export("export", "--help").stdout
    assert "GPX 1.1 waypoints." in shown
    assert "GeoJSON points (RFC 7946)." in shown
    assert "backbearing export gpx" in shown
