"""Programs to be killed: each a fork of one that has loaded already what they need."""

from __future__ import annotations

import multiprocessing
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from backbearing.cli.main import main

if TYPE_CHECKING:
    from collections.abc import Callable
    from multiprocessing.context import ForkServerProcess

_LOADED = ("backbearing.cli.import_", "backbearing.plans.intake", "backbearing.writers.intake")
_MADE = multiprocessing.get_context("forkserver")
_MADE.set_forkserver_preload([__name__, "tests.notebook.samples", "numpy", "pyproj", *_LOADED])


def started(work: Callable[..., None], *told: object) -> ForkServerProcess:
    """Such a program, at work."""
    program = _MADE.Process(target=work, args=told)
    program.start()
    return program


def import_folder(notebook: Path, folder: Path) -> None:
    """`backbearing import FOLDER`, in silence."""
    with Path(os.devnull).open("w") as silence:
        sys.stdout = sys.stderr = silence
        main(["--notebook", str(notebook), "import", str(folder)], standalone_mode=False)
