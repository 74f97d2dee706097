"""What every test may rely on: no user's notebook in reach, and repeatable properties."""

from __future__ import annotations

from pathlib import Path

import hypothesis
import pytest

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


@pytest.fixture(autouse=True)
def nobody_elses_notebook(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The default notebook of a test lies in a folder of its own, never in the user's."""
    home: Path = tmp_path_factory.mktemp("home")
    monkeypatch.delenv("BACKBEARING_NOTEBOOK", raising=False)
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("XDG_DATA_HOME", str(home / "data"))
    monkeypatch.setenv("NO_COLOR", "1")
