"""Pages made together: each names the others by the files they stand in, side by side."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What a page links to: names with file names of the same folder, ASCII and made by us."""

    overview: str  # the file of the page of all; '' on that page itself
    pages: tuple[tuple[str, str], ...]  # of each subject on it; else the one before and after
