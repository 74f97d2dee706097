"""Photos on the page: their picture stands in it, and what is said of each is true and harmless."""

from __future__ import annotations

import io
import re
from base64 import b64decode
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from html import unescape
from pathlib import Path

import pytest
from PIL import Image
from tests.writers.return_pages import quarry_page

from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.photos import store_photo
from backbearing.plans.photosof import MOST_OF_ONE, MOST_PICTURES, Album, PagePhoto, ShownPhoto
from backbearing.records import Bearing, Photo, Place
from backbearing.writers.page import render_page

AT = Place(latitude_deg=47.01, longitude_deg=-21.0, error_m=10.0, error_basis="given")
PHOTO = Photo(
    sha256="ab",
    file_name="wheel.jpg",
    taken_at=datetime(2026, 3, 14, 15, 32, tzinfo=UTC),
    time_error_s=5.0,
    time_basis="camera clock",
    placed_by="gps",
    place=AT,
    bearing=Bearing(true_deg=209.0, error_deg=10.0, as_written="215M", declination_deg=-6.0),
)


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (320, 240), (90, 90, 90)).save(out, "JPEG")
    return out.getvalue()


def rendered(photo: Photo, small: bytes) -> str:
    page = quarry_page()
    shown = ShownPhoto(photo=photo, tied=True, away_m=8.4, zone="Atlantic/Azores")
    first = replace(page.subjects[0], photos=(PagePhoto(shown=shown, picture=small),))
    return render_page(replace(page, subjects=(first, *page.subjects[1:])))


def test_the_picture_stands_in_the_page_itself() -> None:
    text = rendered(PHOTO, picture())
    code = re.search(r'<img src="data:image/jpeg;base64,([^"]+)"', text)
    assert code is not None
    assert b64decode(code[1]) == picture()
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text)
    assert policy is not None
    assert "img-src data:;" in unescape(policy[1])


def test_its_alternative_text_says_when_where_and_which_way() -> None:
    alt = re.search(r'<img [^>]*alt="([^"]+)"', rendered(PHOTO, picture()))
    assert alt is not None
    said = unescape(alt[1])
    for part in ("wheel.jpg", "Sat 14 Mar 2026", "14:32 UTC−1", "looking 209° ± 10°", "8 m away"):
        assert part in said


def test_without_a_picture_the_words_stand_and_without_photos_nothing() -> None:
    bare = rendered(replace(PHOTO, place=None, placed_by="", taken_at=None, bearing=None), b"")
    assert "<img" not in bare
    assert "no time" in bare
    assert "place not known" in bare
    assert "<h3>Photos</h3>" not in render_page(quarry_page())


def test_a_name_cannot_leave_its_place() -> None:
    hostile = '"><script>alert(1)</script>.jpg'
    assert "<script>alert" not in rendered(replace(PHOTO, file_name=hostile), picture())


@pytest.fixture
def many(tmp_path: Path) -> Iterator[Notebook]:
    with open_notebook(tmp_path / "n.gpkg", create=True) as notebook:
        with notebook.writing():
            for number in range(MOST_PICTURES):
                at = datetime(2026, 3, 14, 12, tzinfo=UTC) + timedelta(minutes=number)
                photo = replace(PHOTO, sha256=str(number), taken_at=at)
                store_photo(notebook, photo, picture())
        yield notebook


def test_a_page_holds_so_many_pictures_and_the_words_of_all(many: Notebook) -> None:
    album = Album(many)
    subjects = [album.of(number, AT, "UTC") for number in range(5)]
    assert [len(photos) for photos in subjects] == [MOST_PICTURES] * 5
    with_picture = [sum(bool(one.picture) for one in photos) for photos in subjects]
    assert with_picture == [MOST_OF_ONE] * 3 + [0] * 2
    taken = [one.shown.photo.taken_at for one in subjects[0]]
    assert taken == sorted(taken, reverse=True)  # type: ignore[type-var]
