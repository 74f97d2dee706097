"""The panels of seconds and of the plate, from a notebook with a kit to the page's bytes."""

from __future__ import annotations

import html
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from xml.etree import ElementTree

import pytest
from tests.writers.return_pages import HOSTILE

from backbearing.notebook import Notebook, open_notebook
from backbearing.notebook.kit import put_entry
from backbearing.notebook.plates import add_plate
from backbearing.notebook.subjects import add_camera_position, add_subject
from backbearing.places.zones import clock_text
from backbearing.plans.expose import ask_expose
from backbearing.plans.page import gather_page
from backbearing.records import (
    ApertureMark,
    Batch,
    Bearing,
    Camera,
    CameraPosition,
    FocusMark,
    Lens,
    Place,
    Plate,
    Subject,
)
from backbearing.writers.page import render_page
from backbearing.writers.page.exposures import curve

START = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, tzinfo=UTC)
HERE = Place(latitude_deg=47.0, longitude_deg=-21.0, error_m=10.0, error_basis="given")


@pytest.fixture
def notebook(tmp_path: Path) -> Iterator[Notebook]:
    """A hut that faces south, its top and foot measured from 12 m."""
    with open_notebook(tmp_path / "n.gpkg", create=True) as opened:
        put(opened, "hut", top_deg=20.0, foot_deg=-6.0)
        yield opened


def put(
    notebook: Notebook, name: str, top_deg: float | None = None, foot_deg: float | None = None
) -> None:
    with notebook.writing():
        subject = add_subject(notebook, Subject(name=name, place=HERE, facing_deg=180.0))
        add_camera_position(
            notebook,
            CameraPosition(
                place=HERE,
                subject_id=subject.id,
                bearing=Bearing(true_deg=0.0, error_deg=2.0, as_written="0T"),
                distance_m=12.0,
                top_deg=top_deg,
                foot_deg=foot_deg,
            ),
        )


def equip(notebook: Notebook, name: str = "old glass") -> None:
    with notebook.writing():
        for batch in ("first", name):
            put_entry(notebook, Batch(name=batch, emulsion="ordinary", speed_iso=2.0))
        put_entry(
            notebook,
            Camera(
                name=f"box {name}",
                plate_wide_mm=165.0,
                plate_high_mm=105.0,
                image_wide_mm=160.0,
                image_high_mm=100.0,
            ),
        )
        put_entry(
            notebook,
            Lens(
                name=name,
                focal_mm=170.0,
                coverage_mm=230.0,
                apertures=(
                    ApertureMark(engraved="8", f_number=11.3),
                    ApertureMark(engraved="16", f_number=16.0),
                ),
                focus_marks=(
                    FocusMark(engraved="30 m", engraved_m=30.0),
                    FocusMark(engraved="3 m", engraved_m=3.0),
                ),
            ),
        )
        add_plate(notebook, Plate(holder="1", side="A", batch=name, state="loaded"))


def page_of(notebook: Notebook, *names: str) -> str:
    return render_page(gather_page(notebook, names, start=START))


def test_no_panel_vanishes_without_kit_and_start(notebook: Notebook) -> None:
    """What has nothing to show says why, and which command gives it."""
    page = gather_page(notebook, ["hut"], start=START)
    assert page.tripod is None
    text = render_page(page)
    for panel in ("outing", "year", "skyline", "exposure", "frame"):
        assert text.count(f'id="{panel}"') == text.count(f'href="#{panel}"') == 1
    assert "say where walks begin with &#39;backbearing setting start PLACE&#39;" in text
    assert "No seconds: no emulsion batch is on record; &#39;backbearing kit blank&#39;" in text
    assert "No plate drawn: no camera with a lens is on record; " in text


def test_the_head_says_that_the_plate_does_not_hold_it(notebook: Notebook) -> None:
    equip(notebook)
    page = gather_page(notebook, ["hut"], start=START)
    assert page.tripod is not None
    (held,) = page.tripod.pictures
    assert held.frame is not None
    for fits, said in (("no", "It does not fit: "), ("yes", "")):
        picture = replace(held.frame.picture, fits=fits, holds_height=0.44)
        kit = replace(
            page.tripod, pictures=(replace(held, frame=replace(held.frame, picture=picture)),)
        )
        head = render_page(replace(page, tripod=kit)).partition('<nav class="jump panels"')[0]
        assert ("It does not fit: " in head) is bool(said)
        assert ("the plate takes 44 % of its height" in head) is bool(said)


def test_the_panels_say_what_the_commands_say(notebook: Notebook) -> None:
    """The batch that is loaded, not the first; the seconds at best are those of `expose --at`."""
    equip(notebook)
    page = gather_page(notebook, ["hut"], start=START)
    assert page.tripod is not None
    assert page.tripod.batch is not None
    assert page.tripod.batch.name == "old glass"
    (course,) = page.tripod.courses
    answer = ask_expose(
        notebook,
        "hut",
        at=course.window.best.strftime("%Y-%m-%d %H:%MZ"),
        batch_name="old glass",
        lens_name="old glass",
        aperture="16",
        sky=course.window.sky,
        now=NOW,
    )
    assert answer.seconds is not None
    assert course.best is not None
    # `expose` takes the bellows from the camera position's distance too
    assert course.best.exact_s == pytest.approx(answer.seconds.exact_s, rel=1e-3)
    html = render_page(page)
    for words in ("Meter to seconds", "Distance to mark", "between 30 m and 3 m", "Room on the"):
        assert words in html
    assert len(html.encode()) < 2_500_000


def test_the_curve_stands_on_a_scale_of_stops(notebook: Notebook) -> None:
    """A time twice as long stands higher by the same step everywhere; it stays in its drawing."""
    equip(notebook)
    page = gather_page(notebook, ["hut"], start=START)
    assert page.tripod is not None
    svg = ElementTree.fromstring(curve(page.tripod.courses[0]))
    spots = {}
    for text in svg.iter("{http://www.w3.org/2000/svg}text"):
        words = re.fullmatch(r"(\d+) (s|min)", text.text or "")
        if words:
            unit_s = 1.0 if words[2] == "s" else 60.0
            spots[int(words[1]) * unit_s] = float(text.get("y", "nan"))
    by_time = sorted(spots.items())
    assert len(by_time) >= 3
    assert [y for _, y in by_time] == sorted((y for _, y in by_time), reverse=True)
    numbers = [
        float(n) for path in svg.iter() for n in re.findall(r"[\d.]+", path.get("points", ""))
    ]
    assert numbers
    assert 0.0 <= min(numbers) <= max(numbers) <= 440.0


def test_a_range_that_falls_back_for_a_while_says_when_and_why(notebook: Notebook) -> None:
    """Where the skyline's error leaves open whether the sun is seen, both are in the range."""
    equip(notebook)
    page = gather_page(notebook, ["hut"], start=START)
    assert page.tripod is not None
    (course,) = page.tripod.courses
    assert "Wide range" not in render_page(page), "over a plain nothing is in doubt"
    begin = course.window.start
    spans = tuple(
        (begin + timedelta(hours=i), begin + timedelta(hours=i + 1)) for i in (0, 2, 4, 6)
    )
    tripod = replace(page.tripod, courses=(replace(course, in_doubt=spans),))
    said = re.search(r"Wide range: [^<]*", render_page(replace(page, tripod=tripod)))
    assert said is not None
    first = clock_text(begin, course.window.zone)
    assert f"whether the sun is seen {first}–" in html.unescape(said[0])
    assert " and 1 time more" in said[0]


def test_what_cannot_be_framed_says_why(notebook: Notebook) -> None:
    equip(notebook)
    put(notebook, "arch")
    assert "its height in the picture is not known" in page_of(notebook, "arch")


def test_several_drawings_share_no_id_and_bring_no_script(notebook: Notebook) -> None:
    bare = page_of(notebook)
    equip(notebook)
    put(notebook, "arch", top_deg=15.0, foot_deg=-4.0)
    html = page_of(notebook)
    ids = Counter(re.findall(r'\bid="([^"]+)"', html))
    assert [name for name, count in ids.items() if count > 1] == []
    drawn = re.sub(r"<(style|script)\b.*?</\1>", "", html, flags=re.DOTALL)
    for reference in re.findall(r"url\(#([^)]+)\)", drawn):
        assert reference in ids
    assert html.count("<script") == bare.count("<script")


def test_names_in_the_kit_stay_words(notebook: Notebook) -> None:
    for text in HOSTILE:
        if not text.strip():
            continue
        with notebook.writing():
            put_entry(notebook, Batch(name=text, emulsion="pan", speed_iso=2.0))
    equip(notebook, "<script>alert(1)</script>\x1b[31m")
    html = page_of(notebook)
    assert "<script>alert" not in html
    assert "\x1b" not in html
    assert 'id="exposure"' in html
