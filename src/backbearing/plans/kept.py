"""Answers that are dear to work out, kept in the user's own cache folder while they hold.

An answer is kept with what it was asked and with every query that the notebook answered in working
it out. It is given again only where all of these answer as they did, the rasters on record are
the same files, and the program is the same; so nothing need be thought of when something changes.
"""

from __future__ import annotations

import dataclasses
import hashlib
import pickle
import zlib
from collections.abc import Mapping
from datetime import date, time
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from backbearing.plans.ownfolder import code_stamp, keep_own, read_own
from backbearing.saying import language_stamp

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from backbearing.notebook import Notebook

Answer = TypeVar("Answer")

_DERIVED = " skylines "  # a table of kept answers itself: with a row in it or without, all is alike


def kept(
    notebook: Notebook, what: str, asked: Sequence[object], make: Callable[[], Answer]
) -> Answer:
    """What `make` answers, from where it was kept or made now.

    what: names the question. asked: all that `make` goes by besides the notebook and its rasters:
    records, arrays, texts, numbers, days. Raises as `make` does, and NotebookError.
    """
    name = f"{what}-{_key(notebook, asked)}"
    content = read_own(name)
    if content is not None:
        # ours alone: `read_own` takes nothing from where others may write
        reads, packed = pickle.loads(content)  # noqa: S301
        if all(notebook.digest(sql, values) == digest for sql, values, digest in reads):
            answer: Answer = pickle.loads(zlib.decompress(packed))  # noqa: S301
            return answer
    with notebook.listening() as heard:
        made = make()
    reads = list(dict.fromkeys(read for read in heard if _DERIVED not in f"{read[0]} "))
    keep_own(name, pickle.dumps((reads, zlib.compress(pickle.dumps(made), 1))))
    return made


def _key(notebook: Notebook, asked: Sequence[object]) -> str:
    from backbearing.notebook.terrain import list_layers

    digest = hashlib.sha256(f"{code_stamp()} {language_stamp()}".encode())
    layers = list_layers(notebook)
    as_read = [dataclasses.replace(layer, stamp="") for layer in layers]
    states = [_state(layer.path) for layer in layers]
    for part in (*_spelt([*asked, *as_read]), *states):
        digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()[:40]


def _state(path: str) -> bytes:
    """Changes as a raster is changed, put in another's place, or unplugged."""
    try:
        found = Path(path).stat()
    except (OSError, ValueError):
        return b"gone"
    return repr((path, found.st_size, found.st_mtime_ns)).encode("utf-8", "surrogatepass")


def _spelt(value: Any) -> Iterator[bytes]:
    """A value as bytes that differ wherever it does. Raises TypeError for what has no such."""
    import numpy as np

    yield type(value).__qualname__.encode("utf-8")
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from _spelt(getattr(value, field.name))
    elif isinstance(value, np.ndarray):
        yield repr((value.dtype.str, value.shape)).encode("ascii")
        yield value.tobytes()
    elif isinstance(value, list | tuple):
        yield str(len(value)).encode("ascii")
        for each in value:
            yield from _spelt(each)
    elif isinstance(value, Mapping):
        yield from _spelt(list(value.items()))
    elif isinstance(value, bytes):
        yield value
    elif value is None or isinstance(value, bool | int | float | str | date | time):
        yield repr(value).encode("utf-8", "surrogatepass")
    else:
        raise TypeError(f"no spelling of {type(value)}")
