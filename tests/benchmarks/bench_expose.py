"""How soon `expose` answers from a cold start, times `python -c "import numpy"`.

A subject without terrain, one batch on record; with a best light of a day to be found, and at a
clock time. No zone is set, so finding the clock of the place (60 ms) is in the figure.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from backbearing.notebook import open_notebook
from backbearing.notebook.kit import put_entry
from backbearing.records import Batch
from tests.benchmarks.bench_light import make_notebook
from tests.benchmarks.ratios import Row, cold, numpy_import


def rows() -> Iterator[Row]:
    yardstick = numpy_import()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "notebook.gpkg"
        make_notebook(path, 1)
        with open_notebook(path) as notebook, notebook.writing():
            plates = Batch(name="plates", emulsion="ordinary", speed_iso=2.0, reciprocity_p=0.9)
            put_entry(notebook, plates)
        command = [sys.executable, "-m", "backbearing", "--notebook", str(path), "expose"]
        for name, words in (
            ("at a clock time", ["--at", "2026-11-28 14:30"]),
            ("the best light of a day, and the latest minute", ["--date", "2026-11-28"]),
            ("tables alone", ["--tables"]),
        ):
            subject = [] if name == "tables alone" else ["subject 0", "--longest", "2min"]
            took = cold([*command, *subject, *words])
            yield Row(
                f"expose cold, {name} / import numpy",
                took / yardstick,
                "at most",
                5.0,
                f"{took:.2f} s / {yardstick:.2f} s",
            )
