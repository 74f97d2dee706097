"""Which day today is, on whose clock."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

from backbearing.notebook import open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.plans.periods import today_there


def test_today_is_by_the_notebooks_clock_where_it_has_one(tmp_path: Path) -> None:
    """At 23:30 UTC it is already tomorrow in Auckland, and still today in the Azores."""
    now = datetime(2026, 10, 18, 23, 30, tzinfo=UTC)
    with open_notebook(tmp_path / "notebook.gpkg", create=True) as notebook:
        assert today_there(notebook, now) == now.astimezone().date()
        for zone, day in (("Pacific/Auckland", 19), ("Atlantic/Azores", 18)):
            with notebook.writing():
                set_setting(notebook, "zone", zone)
            assert today_there(notebook, now) == date(2026, 10, day)
