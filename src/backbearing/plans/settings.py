"""The notebook's settings: what they are, what they mean, and setting one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from backbearing.notebook import Notebook


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One setting; value None where it is not set."""

    key: str
    value: str | None
    meaning: str


def show_settings(notebook: Notebook, key: str | None = None) -> tuple[Setting, ...]:
    """All settings, or the one of this key. Raises BadInput for an unknown key."""
    from backbearing.notebook.settings import KEYS, get_setting

    keys = list(KEYS) if key is None else [key]
    found = [(name, get_setting(notebook, name)) for name in keys]
    return tuple(Setting(key=name, value=value, meaning=KEYS[name]) for name, value in found)


def change_setting(notebook: Notebook, key: str, value: str | None) -> tuple[Setting, ...]:
    """Set a setting, or take it back with None, and answer what it now is.

    Raises BadInput for an unknown key or a value that means nothing.
    """
    from backbearing.notebook.settings import set_setting
    from backbearing.places.zones import zone

    if key == "zone" and value is not None:
        value = zone(value.strip()).key
    with notebook.writing():
        set_setting(notebook, key, value)
    return show_settings(notebook, key)


def zone_setting(notebook: Notebook | None) -> str | None:
    """The notebook's zone, None where it has none or there is no notebook."""
    if notebook is None:
        return None
    from backbearing.notebook.settings import get_setting

    return get_setting(notebook, "zone")
