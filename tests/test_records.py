"""All records are imported from one room, which loads the seldom used ones when asked for them."""

import subprocess
import sys

import pytest

from backbearing import records


@pytest.mark.parametrize("name", records.__all__)
def test_every_name_is_there(name: str) -> None:
    assert getattr(records, name) is not None


def test_a_name_that_is_not_there_is_said_so_as_by_any_module() -> None:
    assert not hasattr(records, "Nonsense")
    with pytest.raises(ImportError, match="Nonsense"):
        from backbearing.records import Nonsense  # noqa: F401


def test_a_command_that_needs_no_plates_loads_none() -> None:
    code = "import sys, backbearing.records; print(*sorted(sys.modules))"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    assert "backbearing.records.subjects" in loaded
    assert "backbearing.records.kit" not in loaded
    assert "numpy" not in loaded
