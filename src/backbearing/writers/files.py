"""Files out, whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from backbearing.errors import BadInput, WriteError, quoted

_NOTEBOOK_HEAD = b"SQLite format 3\x00"


def write_atomically(target: Path, content: str | bytes, *, overwrite: bool = True) -> None:
    """Put `content` at `target` in one step: a reader sees the old file or the new, never half.

    Raises BadInput where the folder is not there or cannot be written, where a folder, a device
    or a notebook stands at `target` (those are never replaced), or, with `overwrite=False`, where
    anything does; WriteError where the disk is full or fails.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        _refuse_what_stands_there(target, overwrite=overwrite)
        if not target.parent.exists():
            raise BadInput(
                "the folder is not there",
                where=quoted(target.parent, 200),
                remedy="make it first, or name one that is",
            )
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.")
    except OSError as error:
        raise BadInput(
            f"cannot be written ({error.strerror})",
            where=quoted(target, 200),
            remedy="name a folder you may write to",
        ) from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        umask = os.umask(0)
        os.umask(umask)
        Path(temporary).chmod(0o666 & ~umask)
        Path(temporary).replace(target)
    except BaseException as error:
        Path(temporary).unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise WriteError(
                f"could not be written ({error.strerror}); what stood there is unchanged",
                where=quoted(target, 200),
                remedy="make room, or name another place",
            ) from error
        raise


def _refuse_what_stands_there(target: Path, *, overwrite: bool) -> None:
    if not target.exists():
        return
    if not target.is_file():
        raise BadInput(
            "is a folder or a device, not a file",
            where=quoted(target, 200),
            remedy="name a file",
        )
    if not overwrite:
        raise BadInput(
            "a file already stands there",
            where=quoted(target, 200),
            remedy="name another, or add --overwrite",
        )
    with target.open("rb") as file:
        if file.read(len(_NOTEBOOK_HEAD)) == _NOTEBOOK_HEAD:
            raise BadInput(
                "is a notebook, which is never overwritten",
                where=quoted(target, 200),
                remedy="name another file",
            )
