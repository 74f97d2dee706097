"""What is the same on every page: folium's map and the templates made ready, kept between runs."""

from __future__ import annotations

import hashlib
import json
import sys
from contextlib import contextmanager, suppress
from functools import cache
from importlib.metadata import version
from typing import TYPE_CHECKING, Any

from backbearing.plans.ownfolder import code_stamp, keep_own, read_own

if TYPE_CHECKING:
    from collections.abc import Iterator

    from jinja2 import BytecodeCache
    from jinja2.bccache import Bucket

_MAKERS = ("folium", "branca", "jinja2")
_DRAW = "{% macro script(this, kwargs) %}drawReturn({{ this._parent.get_name() }});{% endmacro %}"
_MAP: dict[str, Any] = {
    "location": [0, 0],  # page.js goes to what is drawn
    "tiles": None,
    "zoom_control": False,
    "zoom_start": 13,
    "attribution_control": False,
    "zoom_animation": False,
    "fade_animation": False,
    "marker_zoom_animation": False,
    "inertia": False,
    "scroll_wheel_zoom": False,
    "zoom_snap": 0.25,
    "zoom_delta": 1,
}


@cache
def folium_map() -> tuple[str, str]:
    """The map's own element and script as folium writes them; nothing of the user's is in them."""
    known = read_own(key := _key("map", _DRAW, repr(_MAP)))
    with suppress(ValueError):
        found = json.loads(known or b"")
        if isinstance(found, list) and len(found) == 2 and all(isinstance(t, str) for t in found):
            return found[0], found[1]
    made = _made_by_folium()
    keep_own(key, json.dumps(made).encode("utf-8"))
    return made


def _made_by_folium() -> tuple[str, str]:
    """folium puts random ids in and lists ten files to fetch: ids are fixed, its lists emptied."""
    from branca.element import MacroElement
    from jinja2 import Template

    drawing: Any = MacroElement()  # type: ignore[no-untyped-call]
    drawing._template = Template(_DRAW)
    with _folium_alone() as folium:
        shown = folium.Map(**_MAP)
        shown.default_js, shown.default_css = [], []
        shown._id = "return"
        shown.add_child(drawing)
        figure: Any = shown.get_root()
        for child in list(figure._children.values()):
            child.render()
        return figure.html.render().strip(), figure.script.render().strip()


@contextmanager
def _folium_alone() -> Iterator[Any]:
    """folium without pandas, which it does without for a map, and which takes longer to load.

    Who imports either later gets the whole of it.
    """
    if "folium" in sys.modules or "pandas" in sys.modules:
        import folium

        yield folium
        return
    sys.modules["pandas"] = None  # type: ignore[assignment]  # as where it is not installed
    try:
        import folium

        yield folium
    finally:
        del sys.modules["pandas"]
        for name in [name for name in sys.modules if name.split(".")[0] == "folium"]:
            del sys.modules[name]


def template_cache(settings: str) -> BytecodeCache:
    """Keeps compiled templates. settings: of the environment that compiles them, in words."""
    from jinja2 import BytecodeCache

    class Kept(BytecodeCache):
        def load_bytecode(self, bucket: Bucket) -> None:
            if known := read_own(_key("template", settings, bucket.key, bucket.checksum)):
                bucket.bytecode_from_string(known)

        def dump_bytecode(self, bucket: Bucket) -> None:
            keep_own(
                _key("template", settings, bucket.key, bucket.checksum), bucket.bytecode_to_string()
            )

    return Kept()


def _key(kind: str, *parts: str) -> str:
    """A file's name that changes with all that what it holds depends on."""
    made_by = [code_stamp(), sys.version, *map(version, _MAKERS)]
    digest = hashlib.sha256(json.dumps([*made_by, *parts]).encode("utf-8"))
    return f"{kind}-{digest.hexdigest()[:40]}"
