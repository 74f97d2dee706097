"""Zones kept with subjects: the same as looked up, and looked up again where they cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from backbearing.notebook import open_notebook
from backbearing.notebook.settings import set_setting
from backbearing.notebook.subjects import add_subject, update_subject
from backbearing.notebook.zones import kept_zone
from backbearing.places.zones import zone_name
from backbearing.plans.settings import zone_at
from backbearing.records import Place, Subject


def place(latitude_deg: float, longitude_deg: float) -> Place:
    return Place(
        latitude_deg=latitude_deg, longitude_deg=longitude_deg, error_m=10.0, error_basis="given"
    )


@pytest.mark.parametrize(
    ("at", "zone"),
    [((47.0, 8.0), "Europe/Zurich"), ((47.0, -21.0), "Etc/GMT+1"), ((-33.9, 18.4), None)],
)
def test_a_subject_brings_its_zone_along(
    tmp_path: Path, at: tuple[float, float], zone: str | None
) -> None:
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            add_subject(notebook, Subject(name="post", place=place(*at)))
        assert kept_zone(notebook, *at) == zone_name(*at)
        assert zone is None or zone_name(*at) == zone
        assert zone_at(notebook, place(*at)) == zone_name(*at)


def test_at_sea_the_notebooks_own_zone_rules(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            add_subject(notebook, Subject(name="post", place=place(47.0, -21.0)))
            set_setting(notebook, "zone", "Atlantic/Azores")
        assert zone_at(notebook, place(47.0, -21.0)) == "Atlantic/Azores"
        assert zone_at(notebook, place(47.0, 8.0)) == "Europe/Zurich"  # never on land


def test_a_kept_zone_is_not_looked_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            subject = add_subject(notebook, Subject(name="post", place=place(47.0, 8.0)))
        monkeypatch.setattr(
            "backbearing.plans.settings.zone_name",
            lambda *at: pytest.fail("looked up"),
            raising=False,
        )
        monkeypatch.setattr(
            "backbearing.places.zones.zone_there", lambda *at: pytest.fail("looked up")
        )
        assert zone_at(notebook, subject.place) == "Europe/Zurich"


def test_what_another_program_wrote_is_looked_up_again(tmp_path: Path) -> None:
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            subject = add_subject(notebook, Subject(name="post", place=place(47.0, 8.0)))
            notebook.run("UPDATE zones SET zone = ?", ("Nowhere/../../etc/passwd",))
        assert zone_at(notebook, subject.place) == "Europe/Zurich"
        moved = Subject(name="post", place=place(40.4, -3.7), id=subject.id, uid=subject.uid)
        with notebook.writing():
            update_subject(notebook, moved)
        assert zone_at(notebook, moved.place) == "Europe/Madrid"
