"""The names outside checks rely on, as DEVELOPERS.md lists them, with their signatures."""

import importlib
import inspect
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LISTED = re.findall(
    r"^from (backbearing\S+) import (\w+)$", (ROOT / "DEVELOPERS.md").read_text("utf-8"), re.M
)


def test_the_guide_lists_some() -> None:
    assert len(LISTED) >= 4


@pytest.mark.parametrize(("module", "name"), LISTED)
def test_each_listed_name_is_there_and_documented(module: str, name: str) -> None:
    assert inspect.getdoc(getattr(importlib.import_module(module), name))


def test_sun_position_keeps_its_signature() -> None:
    from backbearing.models.sun import sun_position

    assert [
        (p.name, p.kind.name, p.default)
        for p in inspect.signature(sun_position).parameters.values()
    ] == [
        ("times", "POSITIONAL_OR_KEYWORD", inspect.Parameter.empty),
        ("latitude_deg", "POSITIONAL_OR_KEYWORD", inspect.Parameter.empty),
        ("longitude_deg", "POSITIONAL_OR_KEYWORD", inspect.Parameter.empty),
        ("height_m", "KEYWORD_ONLY", 0.0),
        ("pressure_hpa", "KEYWORD_ONLY", None),
        ("temperature_c", "KEYWORD_ONLY", None),
        ("refraction", "KEYWORD_ONLY", True),
    ]


def test_importing_the_package_imports_nothing_heavy() -> None:
    import subprocess
    import sys

    code = "import sys, backbearing; print('numpy' in sys.modules, len(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("False")
