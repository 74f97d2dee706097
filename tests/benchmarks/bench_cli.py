"""How soon the command line answers, in cold processes, times `python -c "import numpy"`."""

from __future__ import annotations

import sys
from collections.abc import Iterator

from tests.benchmarks.ratios import Row, cold, numpy_import


def rows() -> Iterator[Row]:
    yardstick = numpy_import()
    for option in ("--help", "--version"):
        took = cold([sys.executable, "-m", "backbearing", option])
        yield Row(
            f"cold {option}, times import numpy",
            took / yardstick,
            "at most",
            1.0,
            f"{took * 1e3:.0f} ms against {yardstick * 1e3:.0f} ms",
        )
