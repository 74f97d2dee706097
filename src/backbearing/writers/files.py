"""Files out, whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from backbearing.errors import BadInput, quoted


def write_atomically(target: Path, content: str | bytes, *, overwrite: bool = True) -> None:
    """Put `content` at `target` in one step: a reader sees the old file or the new, never half.

    Raises BadInput where the folder does not exist, cannot be written, or, with
    `overwrite=False`, where something already stands there.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    if not overwrite and target.exists():
        raise BadInput(
            "a file already stands there",
            where=quoted(target, 200),
            remedy="name another, or add --overwrite",
        )
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
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
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
