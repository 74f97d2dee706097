"""What starting further processes asks for."""

from __future__ import annotations

import gc
import os
import signal
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator


@contextmanager
def deaf_to_interrupts() -> Iterator[None]:
    """Processes started in here leave Ctrl-C to this one, which gets it at the end."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    from multiprocessing.resource_tracker import ensure_running

    ensure_running()  # it is started along with the first of them, and would hear them again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def collect_seldom() -> None:
    """Look for garbage seldom: a command is over before its own is worth a look."""
    gc.set_threshold(100_000, 50, 50)
