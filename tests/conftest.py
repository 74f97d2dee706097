"""What every test may rely on: no user's notebook in reach, and repeatable properties."""

from __future__ import annotations

import fcntl
import itertools
import os
import pickle
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.plans import demo
from backbearing.plans.ownfolder import own_folder

hypothesis.settings.register_profile(
    "steady",
    derandomize=True,
    deadline=None,
    max_examples=60,
    suppress_health_check=[
        hypothesis.HealthCheck.too_slow,
        hypothesis.HealthCheck.function_scoped_fixture,
    ],
)
hypothesis.settings.load_profile("steady")


@pytest.fixture(scope="session")
def homes(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A folder for each test that is made only when written to: most never are."""
    root = tmp_path_factory.mktemp("homes")
    return (root / str(number) for number in itertools.count())


@pytest.fixture(autouse=True)
def nobody_elses_notebook(homes: Iterator[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    """The default notebook of a test lies in a folder of its own, never in the user's."""
    home = next(homes)
    monkeypatch.delenv("BACKBEARING_NOTEBOOK", raising=False)
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "data"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(home / "cache"))
    own_folder.cache_clear()
    monkeypatch.setenv("NO_COLOR", "1")


@pytest.fixture(scope="session", autouse=True)
def nobody_elses_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What fixtures of more than one test keep between runs lies apart too."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        # programs that tests start keep what they compile, as users' do
        patched.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        yield


@pytest.fixture(scope="session")
def demo_of_november(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder the demo makes from 28 November 2026 on, made once for all who test with it."""
    root = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        root = root.parent
    folder = root / "november"

    def kept(*args: Any, **named: Any) -> demo.DemoAnswer:
        answer = run(*args, **named)
        (root / "november.answer").write_bytes(pickle.dumps(answer))
        return answer

    with (root / "november.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.exists():
            run = demo.run_demo
            with pytest.MonkeyPatch.context() as patched:
                patched.setattr(demo, "run_demo", kept)
                done = CliRunner().invoke(
                    main, ["demo", "--out", str(root / "making"), "--date", "2026-11-28"]
                )
            assert done.exit_code == 0, done.output
            (root / "making").rename(folder)
    return folder


@pytest.fixture(scope="session")
def novembers_answer(demo_of_november: Path) -> demo.DemoAnswer:
    """What was answered while it was made."""
    answer: demo.DemoAnswer = pickle.loads(
        demo_of_november.with_name("november.answer").read_bytes()
    )
    return answer


@pytest.fixture(scope="module")
def island(demo_of_november: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of it for the tests of one module."""
    return Path(shutil.copytree(demo_of_november, tmp_path_factory.mktemp("demo") / "island"))
