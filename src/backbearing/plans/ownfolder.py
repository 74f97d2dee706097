"""The user's own cache folder: what is dear to make and the same again, kept between runs.

What lies there is trusted as the program itself is. So a folder that others may write to, or that
cannot be made, is left alone, and all is made anew each time. Losing it loses nothing but time.
"""

from __future__ import annotations

import hashlib
import os
import stat
import tempfile
from contextlib import suppress
from functools import cache
from pathlib import Path

from backbearing import __version__

MOST_BYTES = 200 * 2**20  # in it; what was used longest ago gives way
_CHECK = hashlib.sha256().digest_size


def read_own(name: str) -> bytes | None:
    """What was kept under a name; None where there is nothing, or it is not whole."""
    folder = own_folder()
    if folder is None:
        return None
    try:
        content = (folder / name).read_bytes()
        os.utime(folder / name)
    except OSError:
        return None
    whole = hashlib.sha256(content[_CHECK:]).digest() == content[:_CHECK]
    return content[_CHECK:] if whole else None


def keep_own(name: str, content: bytes) -> None:
    """Keep something under a name of our own making, where there is a folder to keep it in."""
    folder = own_folder()
    if folder is None:
        return
    with suppress(OSError):
        handle, temporary = tempfile.mkstemp(dir=folder)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(content).digest() + content)
            Path(temporary).replace(folder / name)
        except OSError:
            Path(temporary).unlink(missing_ok=True)
        _make_room(folder)


def _make_room(folder: Path) -> None:
    with os.scandir(folder) as entries:
        found = [(each.stat(), each.path) for each in entries]
    too_much = sum(state.st_size for state, _ in found) - MOST_BYTES
    if too_much <= 0:
        return
    for state, path in sorted(found, key=lambda each: each[0].st_mtime_ns):
        Path(path).unlink(missing_ok=True)
        too_much -= state.st_size
        if too_much <= 0:
            break


@cache
def own_folder() -> Path | None:
    """The folder, ours alone; None where there is none such."""
    from platformdirs import user_cache_path

    folder = user_cache_path("backbearing", appauthor=False) / "made"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        found = folder.lstat()
    except OSError:
        return None
    if not stat.S_ISDIR(found.st_mode):
        return None
    if hasattr(os, "getuid") and (found.st_uid != os.getuid() or found.st_mode & 0o022):
        return None
    return folder


@cache
def code_stamp() -> str:
    """Changes with every change of this program's own files, in a checkout too."""
    root = Path(__file__).parent.parent
    files = sorted(root.rglob("*.py"))
    states = [(str(path.relative_to(root)), path.stat().st_mtime_ns) for path in files]
    return hashlib.sha256(repr((__version__, states)).encode("utf-8")).hexdigest()
