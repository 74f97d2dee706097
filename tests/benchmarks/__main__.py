"""Run every benchmark, each in a process of its own, and print measured ratios.

python -m tests.benchmarks [NAME…] [--strict]

A benchmark is a module `bench_*.py` here whose `rows()` yields `Row`s. Times are never
compared with a clock's number, only with a reference timed in the same run. A benchmark that
does not run, or misses its bound by more than half again, fails the run; with --strict any miss
does.
"""

from __future__ import annotations

import importlib
import json
import os
import platform
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.ratios import Row, show

HERE = Path(__file__).parent


def main(argv: list[str]) -> int:
    strict = "--strict" in argv
    names = [a for a in argv if not a.startswith("--")]
    if "--one" in argv:
        module = importlib.import_module(f"tests.benchmarks.{names[0]}")
        print("ROWS " + json.dumps([row.__dict__ for row in module.rows()]))
        return 0
    found = sorted(p.stem for p in HERE.glob("bench_*.py"))
    wanted = [n for n in found if not names or any(part in n for part in names)]
    print(f"# {platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}")
    missed = lost = 0
    for name in wanted:
        with TemporaryDirectory() as cache:  # what is kept between runs is kept for this one alone
            done = subprocess.run(
                [sys.executable, "-m", "tests.benchmarks", "--one", name],
                capture_output=True,
                text=True,
                check=False,
                env={**os.environ, "XDG_CACHE_HOME": cache},
            )
        lines = [line for line in done.stdout.splitlines() if line.startswith("ROWS ")]
        if done.returncode or not lines:
            print(f"{name}: did not run\n{done.stderr}")
            lost += 1
            continue
        for entry in json.loads(lines[-1][5:]):
            row = Row(**entry)
            missed += not row.held
            lost += row.lost
            print(show(row), flush=True)
    print(f"# {missed} outside their bounds, {lost} lost")
    return 1 if lost or (strict and missed) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
