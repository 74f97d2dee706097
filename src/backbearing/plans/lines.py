"""Files of lines over the ground into the notebook: streams, paths, ridges, shores."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from backbearing.errors import BadFile
from backbearing.records import LINE_KINDS, Original

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from backbearing.notebook import Notebook
    from backbearing.records import Fault, LineKind


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesReport:
    """What a file of lines held: lines by kind, and features that are none."""

    outcome: Literal["stored", "already on record"]
    kinds: Mapping[LineKind, int] = field(default_factory=dict)  # those it holds, no zeros
    left_out: int = 0  # points, and features without geometry
    faults: tuple[Fault, ...] = ()


def store_lines(
    notebook: Notebook, path: str | Path, content: bytes, file_name: str
) -> LinesReport:
    """Put the lines of a GeoJSON file on record with the file itself; the same bytes once.

    file_name: as it is kept and shown. Raises BadFile as `readers.lines.read_lines` does, and for
    a file that holds no line; NotebookError.
    """
    import hashlib

    from backbearing.notebook.lines import store_line
    from backbearing.notebook.tracks import find_original, store_original
    from backbearing.readers.lines import read_lines

    sha256 = hashlib.sha256(content).hexdigest()
    if find_original(notebook, sha256) is not None:
        return LinesReport(outcome="already on record")
    file = read_lines(path, content=content)
    if not file.lines:
        raise BadFile(
            "holds no line that can be used",
            path=path,
            remedy="give streams, shores or paths as LineString or Polygon (RFC 7946)",
        )
    with notebook.writing():
        if find_original(notebook, sha256) is not None:
            return LinesReport(outcome="already on record")
        number = store_original(
            notebook,
            Original(
                sha256=sha256,
                file_name=file_name,
                media="lines",
                content=content,
                faults=file.faults,
            ),
        )
        for line in file.lines:
            store_line(notebook, number, replace(line, source=f"{file_name}, {line.source}"))
    counts = Counter(line.kind for line in file.lines)
    return LinesReport(
        outcome="stored",
        kinds={kind: counts[kind] for kind in LINE_KINDS if counts[kind]},
        left_out=file.others,
        faults=file.faults,
    )
