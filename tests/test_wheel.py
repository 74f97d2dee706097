"""The built wheel stands on its own: without the checkout it still runs the demo."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder holding only what the wheel holds."""
    work = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]
    subprocess.run(
        [*pip, "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(work), str(ROOT)],
        check=True,
        capture_output=True,
    )
    (wheel,) = work.glob("*.whl")
    target = work / "site"
    subprocess.run(
        [*pip, "install", "--no-deps", "--target", str(target), str(wheel)],
        check=True,
        capture_output=True,
    )
    return target


def test_the_demo_runs_without_the_checkout(installed: Path, tmp_path: Path) -> None:
    env = {**os.environ, "PYTHONPATH": str(installed), "PYTHONSAFEPATH": "1"}
    where = subprocess.run(
        [sys.executable, "-c", "import backbearing; print(backbearing.__file__)"],
        env=env,
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert where.stdout.startswith(str(installed))
    done = subprocess.run(
        [sys.executable, "-m", "backbearing", "demo", "--out", "demo"],
        env=env,
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert list((tmp_path / "demo").glob("*.html"))


def test_the_wheel_carries_types_licence_and_notices(installed: Path) -> None:
    assert (installed / "backbearing" / "py.typed").exists()
    kept = {p.name for p in installed.glob("backbearing-*.dist-info/licenses/*")}
    assert {"LICENSE", "NOTICE.md"} <= kept
