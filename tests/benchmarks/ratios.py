"""A benchmark's row, and the timing that fills it."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass


@dataclass
class Row:
    """One measured figure against its reference of the same run.

    ratio: measured / reference, or a plain figure with its unit. bound: 'at most' or
    'at least', and the number.
    """

    name: str
    ratio: float
    sense: str  # "at most" or "at least"
    bound: float
    detail: str = ""  # the two figures, with units

    @property
    def held(self) -> bool:
        return self.ratio <= self.bound if self.sense == "at most" else self.ratio >= self.bound

    @property
    def lost(self) -> bool:
        """Missed by more than half again: no swing of a shared machine, but a regression."""
        if self.sense == "at most":
            return self.ratio > 1.5 * self.bound
        return self.ratio < self.bound / 1.5


def show(row: Row) -> str:
    mark = "ok   " if row.held else "LOST " if row.lost else "MISS "
    return f"{mark}{row.name}: {row.ratio:.3g} ({row.sense} {row.bound:g}) {row.detail}"


def best_of(call: Callable[[], object], times: int = 5) -> float:
    """The shortest of several runs, in seconds."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        took.append(time.perf_counter() - start)
    return min(took)


def cold(argv: Sequence[str], times: int = 7, **kwargs: object) -> float:
    """Median wall time of a fresh process, in seconds; compiled modules are kept, as users have."""
    given: Mapping[str, str] = kwargs.get("env", os.environ)  # type: ignore[assignment]
    kwargs["env"] = {k: v for k, v in given.items() if k != "PYTHONDONTWRITEBYTECODE"}
    took = []
    for _ in range(times):
        start = time.perf_counter()
        subprocess.run(argv, check=True, capture_output=True, **kwargs)  # type: ignore[call-overload]
        took.append(time.perf_counter() - start)
    return statistics.median(took)


def numpy_import(times: int = 9) -> float:
    """Median wall time of `python -c "import numpy"`: the yardstick of cold processes."""
    return cold([sys.executable, "-c", "import numpy"], times)
