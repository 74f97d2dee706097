"""What is the same on every page is made once, and nobody else can put it there."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from platformdirs import user_cache_path
from tests.writers.return_pages import quarry_page

from backbearing.plans.ownfolder import own_folder
from backbearing.writers.page import once, render


@pytest.fixture(autouse=True)
def fresh() -> Iterator[None]:
    """As in a process of its own, whose cache folder is this test's."""
    for each in (once.folium_map, own_folder, render._templates):
        each.cache_clear()
    yield
    for each in (once.folium_map, own_folder, render._templates):
        each.cache_clear()


def folder() -> Path:
    return user_cache_path("backbearing", appauthor=False) / "made"


def again() -> str:
    once.folium_map.cache_clear()
    own_folder.cache_clear()
    render._templates.cache_clear()
    return render.render_page(quarry_page())


def test_a_second_page_is_the_same_and_makes_nothing_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    first = render.render_page(quarry_page())
    kept = {path.name for path in folder().iterdir()}
    assert len(kept) > 3
    monkeypatch.setattr(once, "keep_own", lambda name, content: pytest.fail(name))
    assert again() == first


def test_the_folder_is_for_its_owner_alone() -> None:
    render.render_page(quarry_page())
    assert stat.S_IMODE(folder().stat().st_mode) == 0o700
    assert all(stat.S_IMODE(path.stat().st_mode) == 0o600 for path in folder().iterdir())


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="folders have no owners here")
def test_nothing_is_taken_from_a_folder_that_others_may_write_to() -> None:
    plain = render.render_page(quarry_page())
    for path in folder().iterdir():
        path.write_text('["<div>", "evil();"]')
    folder().chmod(0o777)
    assert again() == plain


def test_what_is_broken_there_is_made_anew() -> None:
    plain = render.render_page(quarry_page())
    for path in folder().iterdir():
        path.write_bytes(b"\x00")
    assert again() == plain
    assert again() == plain


def test_without_a_folder_a_page_is_made_all_the_same() -> None:
    plain = render.render_page(quarry_page())
    for path in folder().iterdir():
        path.unlink()
    folder().rmdir()
    folder().write_text("a file stands there")
    assert again() == plain


def test_a_page_whose_map_is_ready_imports_no_folium() -> None:
    render.render_page(quarry_page())
    program = (
        "import sys; from tests.writers.return_pages import quarry_page; "
        "from backbearing.writers.page.render import render_page; render_page(quarry_page()); "
        "print(*sorted({'folium', 'pandas', 'branca'} & sys.modules.keys()))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == ""


def test_folium_is_whole_for_who_loads_it_after_a_page() -> None:
    asked = (
        "from backbearing.writers.page.once import _made_by_folium; first = _made_by_folium();"
        "import sys; loaded = {'folium', 'pandas'} & set(sys.modules); assert not loaded, loaded;"
        "import folium.utilities, pandas; assert folium.utilities.pd is pandas;"
        "assert _made_by_folium() == first"
    )
    subprocess.run([sys.executable, "-c", asked], check=True)
