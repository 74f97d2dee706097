"""One answer, however many processes share the work; and what becomes of those that help."""

import contextlib
import os
import pickle
import signal
import subprocess
import sys
import time
from datetime import date
from datetime import time as clock
from pathlib import Path

import psutil
import pytest

from backbearing.errors import BadFile, BadInput, NotebookError, NotFound
from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.notebook.terrain import count_skylines
from backbearing.plans.demo import demo_terrain
from backbearing.plans.light import best_light, processes
from backbearing.plans.light.share import Question
from backbearing.plans.terrain import add_terrain
from backbearing.records import Bearing, CameraPosition, OtherSky, Place, Subject, WantedLight
from backbearing.writers.plain import plain

WISH = WantedLight(
    direct_sun=True,
    sun_altitude_deg=(5, 40),
    other_sky=OtherSky(earliest=clock(10), latest=clock(15)),
)
START, END = date(2027, 3, 1), date(2027, 3, 9)


def on_the_island(path: Path, count: int) -> Path:
    """Subjects on the demo's ground, some without a wish, one on another clock."""
    with open_notebook(path, create=True) as notebook:
        with notebook.writing():
            for i in range(count):
                place = Place(
                    latitude_deg=46.995 + 0.003 * (i % 7),
                    longitude_deg=-21.01 + 0.003 * (i // 7) if i != 2 else 13.0,
                    error_m=30.0,
                    error_basis="given",
                )
                wanted = WISH if i % 3 else None
                made = add_subject(notebook, Subject(name=f"hut {i}", place=place, wanted=wanted))
                bearing = Bearing(true_deg=37.0 * i % 360, error_deg=3.0, as_written="made up")
                add_camera_position(
                    notebook, CameraPosition(place=place, bearing=bearing, subject_id=made.id)
                )
        add_terrain(notebook, demo_terrain(), ground="bare ground")
    return path


def ask(notebook: Notebook, count: int | None, **more: object) -> object:
    return plain(best_light(notebook, [], start=START, end=END, processes=count, **more))


def test_the_answer_is_the_same_whatever_the_number_of_processes(tmp_path: Path) -> None:
    """Whether its skylines are worked out on the way or kept from a question before."""
    answers: dict[int | None, list[object]] = {None: [], 5: []}
    for count, limits in ((1, (None, 5, None)), (2, (5, None)), (3, (None, 5))):
        with open_notebook(on_the_island(tmp_path / f"{count}.gpkg", 7)) as notebook:
            for limit in limits:
                answers[limit].append(ask(notebook, count, limit=limit, with_day_ends=True))
            # one for each subject on the island and for four places around it, kept by the asker
            assert count_skylines(notebook) == 30
    for first, *others in answers.values():
        assert first["windows"]
        assert len(others) >= 2
        assert all(each == first for each in others)


def test_a_notebook_that_may_not_be_written_is_asked_all_the_same(tmp_path: Path) -> None:
    path = on_the_island(tmp_path / "notebook.gpkg", 4)
    with open_notebook(path, readonly=True) as notebook:
        assert ask(notebook, 2) == ask(notebook, 1)
        assert count_skylines(notebook) == 0


def test_progress_counts_subjects(tmp_path: Path) -> None:
    told: list[str] = []
    with open_notebook(on_the_island(tmp_path / "notebook.gpkg", 4)) as notebook:
        ask(notebook, 2, progress=told.append)
    assert told[-1] == "light: 4 of 4 subjects"


def test_small_questions_stay_in_one_process_and_large_ones_are_bounded_by_the_cores(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(processes, "cores", lambda: 4)

    def question(end: date) -> Question:
        return Question(
            start=START,
            end=end,
            wanted=None,
            after=None,
            earliest_at=None,
            limit=10,
            days_around=0,
        )

    year, fortnight = question(date(2028, 2, 29)), question(date(2027, 3, 14))
    with open_notebook(on_the_island(tmp_path / "notebook.gpkg", 5)) as notebook:
        place = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=1.0, error_basis="given")
        many = [Subject(name=f"hut {i}", place=place) for i in range(100)]
        assert processes.processes_worth(notebook, many[:1], year) == 1
        assert processes.processes_worth(notebook, many[:10], fortnight) == 1
        assert processes.processes_worth(notebook, many, year) == 4
        # their skylines are not worked out yet
        assert processes.processes_worth(notebook, many, fortnight) > 1


def lost(*_: object) -> None:
    """A helper that is killed before it answers anything."""
    os.kill(os.getpid(), signal.SIGKILL)


def refused(_path: object, _question: object, line: processes.Connection) -> None:
    """A helper whose notebook cannot be read."""
    line.recv()
    line.send(NotebookError("cannot be read", where="notebook 'x'", remedy="look at it"))


def faulty(_path: object, _question: object, line: processes.Connection) -> None:
    line.recv()
    line.send("ZeroDivisionError: somewhere")


def test_what_a_lost_helper_had_to_do_is_done_by_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_notebook(on_the_island(tmp_path / "notebook.gpkg", 5)) as notebook:
        alone = ask(notebook, 1)
        monkeypatch.setattr(processes, "_help", lost)
        assert ask(notebook, 2) == alone


def test_an_error_in_a_helper_is_the_error_of_the_question(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_notebook(on_the_island(tmp_path / "notebook.gpkg", 5)) as notebook:
        monkeypatch.setattr(processes, "_help", refused)
        with pytest.raises(NotebookError, match=r"^notebook 'x': cannot be read; look at it$"):
            ask(notebook, 2)
        monkeypatch.setattr(processes, "_help", faulty)
        with pytest.raises(RuntimeError, match="ZeroDivisionError"):
            ask(notebook, 2)
    assert not [p for p in psutil.Process().children() if "spawn_main" in " ".join(p.cmdline())]


@pytest.mark.parametrize(
    "error",
    [
        BadInput("no sun", where="--to", remedy="ask again"),
        BadFile("is cut short", path="/a/b.tif", line=3, remedy="copy it again"),
        NotFound("no such subject"),
        NotebookError("is locked"),
    ],
)
def test_errors_cross_from_one_process_to_another_whole(error: BadInput) -> None:
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is type(error)
    assert str(again) == str(error)
    assert vars(again) == vars(error)


def spawned_by(pid: int) -> list[psutil.Process]:
    """The helpers of a process; a child may end, or not yet be what it becomes, while looked at."""
    found = []
    with contextlib.suppress(psutil.NoSuchProcess, ProcessLookupError):
        for child in psutil.Process(pid).children():
            with contextlib.suppress(psutil.NoSuchProcess, ProcessLookupError):
                if "spawn_main" in " ".join(child.cmdline()):
                    found.append(child)
    return found


@pytest.mark.parametrize("working_for_s", [0.0, 1.0])
@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C reaches a group of processes otherwise")
def test_ctrl_c_ends_all_processes_with_one_sentence(tmp_path: Path, working_for_s: float) -> None:
    path = on_the_island(tmp_path / "notebook.gpkg", 12)
    words = ["light", "--from", "2027-01-01", "--to", "2031-12-01", "--processes", "3"]
    running = subprocess.Popen(
        [sys.executable, "-m", "backbearing", "--notebook", str(path), *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    helpers: list[psutil.Process] = []
    until = time.monotonic() + 30
    while len(helpers) < 2 and time.monotonic() < until and running.poll() is None:
        time.sleep(0.05)
        helpers = spawned_by(running.pid)
    time.sleep(working_for_s)  # else while they are still starting
    os.killpg(running.pid, signal.SIGINT)  # as a terminal does, to all at once
    out, told = running.communicate(timeout=60)
    assert (running.returncode, out) == (1, "")
    assert told.splitlines()[-1] == "backbearing: stopped; nothing half-written is kept"
    assert "Traceback" not in told
    assert len(helpers) == 2
    assert not any(p.is_running() and p.status() != psutil.STATUS_ZOMBIE for p in helpers)
