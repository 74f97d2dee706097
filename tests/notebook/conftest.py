"""An empty notebook for each test, closed afterwards."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from backbearing.notebook import Notebook, open_notebook


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "notebook.gpkg"


@pytest.fixture
def notebook(path: Path) -> Iterator[Notebook]:
    with open_notebook(path, create=True) as opened:
        yield opened
