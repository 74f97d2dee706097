"""Leaflet, taken at render time from the declared package that ships it."""

from __future__ import annotations

import re
from functools import cache
from importlib import resources

# an image Leaflet's style sheet would fetch from beside it; none of our marks needs one
_FETCHED = re.compile(r"[\w-]+\s*:\s*url\([^)]*\)\s*;?")


@cache
def leaflet_script() -> str:
    """Leaflet's script with its licence comment; only the pointer to a source map is left out."""
    script = _packaged("leaflet.js")
    return re.sub(r"//[#@] sourceMappingURL=.*", "", script).strip()


@cache
def leaflet_style() -> str:
    """Leaflet's style sheet without the declarations that would fetch a file."""
    return _FETCHED.sub("", _packaged("leaflet.css")).strip()


def _packaged(name: str) -> str:
    folder = resources.files("js_lib_leaflet") / "static" / "js_lib_leaflet"
    return (folder / name).read_text(encoding="utf-8").replace("\r\n", "\n")
