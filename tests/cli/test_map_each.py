"""`map --each`: a page of each subject and one of all, side by side."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from backbearing.cli.main import main
from backbearing.errors import BadInput, NotFound
from backbearing.notebook import open_notebook
from backbearing.notebook.subjects import add_subject
from backbearing.records import Place, Subject

NAMES = ("arch", '../<b>"gone"</b>')
FILES = ("overview.html", "subject-1.html", "subject-2.html")


@pytest.fixture(scope="module")
def notebook(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("kept") / "notebook.gpkg"
    with open_notebook(path, create=True) as opened, opened.writing():
        for number, name in enumerate(NAMES):
            place = Place(
                latitude_deg=47.0 + number / 1e3,
                longitude_deg=-21.0,
                error_m=10.0,
                error_basis="given",
            )
            add_subject(opened, Subject(name=name, place=place))
    return path


def run(notebook: Path, *arguments: str) -> Result:
    given = ["--notebook", str(notebook), "map", "--from", "2036-10-12", *arguments]
    return CliRunner().invoke(main, given)


@pytest.fixture(scope="module")
def pages(notebook: Path) -> Path:
    """The folder two processes filled."""
    folder = notebook.parent / "pages"
    # to its end, which comes only as no helper holds its output open any more
    done = subprocess.run(
        command(notebook, folder), capture_output=True, text=True, check=True, timeout=100
    )
    assert sorted(done.stdout.splitlines()) == [str(folder / file) for file in FILES]
    return folder


def command(notebook: Path, folder: Path) -> list[str]:
    words = ["map", "--from", "2036-10-12", "--each", "--processes", "2", "--out", str(folder)]
    return [sys.executable, "-m", "backbearing", "--notebook", str(notebook), *words]


def test_no_helper_outlives_the_one_that_asked(notebook: Path, tmp_path: Path) -> None:
    with subprocess.Popen(command(notebook, tmp_path / "p"), stdout=subprocess.PIPE) as asking:
        while not list((tmp_path / "p").glob("*.html")):
            assert asking.poll() is None
            time.sleep(0.05)
        asking.kill()
        asking.communicate(timeout=30)  # ends as the last of them ends


def helpers_of(asking: subprocess.Popen[str]) -> list[int]:
    """The processes that share its pages, as soon as there are two."""
    while True:
        assert asking.poll() is None
        children = Path(f"/proc/{asking.pid}/task/{asking.pid}/children").read_text().split()
        found = [pid for pid in children if b"spawn_main" in started_as(pid)]
        if len(found) == 2:
            return [int(pid) for pid in found]
        time.sleep(0.01)


def started_as(pid: str) -> bytes:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:  # it went meanwhile
        return b""


@pytest.mark.skipif(sys.platform != "linux", reason="finds the helpers in /proc")
@pytest.mark.parametrize("who", ["a helper is killed", "Ctrl-C"])
def test_what_is_cut_short_is_told_and_leaves_whole_pages(
    notebook: Path, tmp_path: Path, who: str
) -> None:
    piped = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    folder = tmp_path / "p"
    with subprocess.Popen(command(notebook, folder), **piped) as asking:  # type: ignore[call-overload]
        helpers = helpers_of(asking)
        if who == "Ctrl-C":
            asking.send_signal(signal.SIGINT)
        else:
            os.kill(helpers[0], signal.SIGKILL)
        told = asking.communicate(timeout=100)  # ends as the last of them ends
    assert asking.returncode == 1
    assert told[0] == "", "no page is named as made"
    assert ("nothing half-written" if who == "Ctrl-C" else "helping process was lost") in told[1]
    assert "Traceback" not in told[1]
    for each in folder.iterdir():
        assert each.read_text(encoding="utf-8").endswith("</html>\n")


def hrefs(page: Path) -> set[str]:
    """The files a page leads to."""
    return set(re.findall(r'href="([^"#:]+)"', page.read_text(encoding="utf-8")))


def test_each_has_its_page_and_they_lead_to_one_another(pages: Path) -> None:
    assert sorted(path.name for path in pages.iterdir()) == [*FILES]
    assert hrefs(pages / "overview.html") == {"subject-1.html", "subject-2.html"}
    assert hrefs(pages / "subject-1.html") == {"overview.html", "subject-2.html"}
    one, two = ((pages / file).read_text(encoding="utf-8") for file in FILES[1:])
    assert "<title>arch: return page</title>" in one
    assert '<b>"gone"' not in one + two, "a name is text, in links too"
    assert sorted(path.name for path in pages.parent.iterdir()) == ["notebook.gpkg", "pages"]


def test_one_process_makes_the_same_bytes(notebook: Path, pages: Path) -> None:
    before = {path.name: path.read_bytes() for path in pages.iterdir()}
    assert run(notebook, "--each", "--out", str(pages), "--processes", "1").exit_code == 0
    assert {path.name: path.read_bytes() for path in pages.iterdir()} == before


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        (["--processes", "2"], BadInput, "--each"),
        (["--each", "--search-time", "2h"], BadInput, "one subject"),
        (["--each", "mill"], NotFound, "mill"),
        (["--each", "--out", "no/such/place"], BadInput, "no folder can be made"),
    ],
)
def test_what_does_not_go_together_is_refused(
    notebook: Path, arguments: list[str], error: type[Exception], words: str
) -> None:
    result = run(notebook, *arguments)
    assert isinstance(result.exception, error)
    assert words in str(result.exception)


def test_it_replaces_pages_only(notebook: Path, tmp_path: Path) -> None:
    out = tmp_path / "pages"
    out.mkdir()
    (out / "subject-2.html").write_text("my own list of subjects")
    result = run(notebook, "--each", "--out", str(out))
    assert isinstance(result.exception, BadInput)
    assert [path.name for path in out.iterdir()] == ["subject-2.html"], "nothing was written"
    assert isinstance(run(notebook, "--each", "--out", str(notebook)).exception, BadInput)
