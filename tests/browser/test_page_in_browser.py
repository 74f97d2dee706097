"""The return page in a real browser, with the network off and every request written down."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from tests.writers.return_pages import (
    HOSTILE,
    hostile,
    quarry_page,
    quarry_subject,
    several,
    with_ground,
)

from backbearing.places.coordinates import decimal_text, dms_text
from backbearing.plans.page import ReturnPage
from backbearing.writers.page import render_page
from backbearing.writers.plain import plain
from backbearing.writers.text import clean

pytestmark = pytest.mark.browser

SIZES = {"phone": (360, 760), "desktop": (1440, 1000)}
PAGES: dict[str, Callable[[], ReturnPage]] = {
    "one": quarry_page,
    "several": several,
    "hostile": hostile,
    "no light": lambda: quarry_page(quarry_subject(windows=0)),
    "ground": lambda: with_ground(several()),
    "nothing": lambda: ReturnPage(start=quarry_page().start),
}


class Opened:
    """A page opened from its file, and all that was asked for, printed or thrown meanwhile."""

    def __init__(self, browser: Any, file: Path, size: str, **context: Any) -> None:
        width, height = SIZES[size]
        self.context = browser.new_context(
            viewport={"width": width, "height": height}, offline=True, **context
        )
        self.asked: list[str] = []
        self.printed: list[str] = []
        self.page = self.context.new_page()
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.on("console", lambda message: self.printed.append(message.text))
        self.page.on("pageerror", lambda error: self.printed.append(f"thrown: {error}"))
        self.page.goto(file.as_uri())
        self.page.wait_for_load_state("load")


@pytest.fixture(scope="module")
def untouched(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A page opened once, for those who only ask its scripts."""
    file = tmp_path_factory.mktemp("untouched") / "return.html"
    file.write_text(render_page(quarry_page()), encoding="utf-8")
    opened = Opened(browser, file, "desktop")
    yield opened.page
    opened.context.close()


@pytest.fixture
def show(browser: Any, tmp_path: Path) -> Iterator[Callable[..., Opened]]:
    opened: list[Opened] = []

    def open_page(
        page: ReturnPage, size: str = "desktop", base_map_url: str | None = None, **context: Any
    ) -> Opened:
        file = tmp_path / "return.html"
        file.write_text(render_page(page, base_map_url=base_map_url), encoding="utf-8")
        opened.append(Opened(browser, file, size, **context))
        return opened[-1]

    yield open_page
    for each in opened:
        each.context.close()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", PAGES)
def test_it_asks_for_nothing_and_complains_of_nothing(
    show: Callable[..., Opened], name: str, size: str
) -> None:
    opened = show(PAGES[name](), size)
    assert [url for url in opened.asked if not url.startswith(("file:", "data:"))] == []
    assert len([url for url in opened.asked if url.startswith("file:")]) == 1
    assert opened.printed == []
    wide = opened.page.evaluate("document.documentElement.scrollWidth")
    assert wide <= SIZES[size][0], "nothing may stick out sideways"


@pytest.mark.parametrize("size", SIZES)
def test_the_sliding_map_takes_the_drawings_place(show: Callable[..., Opened], size: str) -> None:
    page = show(several(), size).page
    assert page.locator("#map_return").is_visible()
    assert not page.locator("figure.drawn").is_visible()
    assert page.locator(".mark.subject").count() == 4
    assert page.locator(".leaflet-overlay-pane path.walked").count() == 2
    assert page.locator(".leaflet-overlay-pane path.sun").count() == 1, "the next one lit"
    fill = "getComputedStyle(document.querySelector('path.sun')).fill"
    assert "hatch" in page.evaluate(fill)


def test_nothing_in_a_name_runs(show: Callable[..., Opened]) -> None:
    opened = show(hostile())
    page = opened.page
    for mark in page.locator(".mark.subject").all()[: len(HOSTILE)]:
        mark.dispatch_event("click")
    page.select_option("#view", "3")
    assert page.evaluate("window.__ran") is None
    assert opened.printed == []
    assert page.title() == f"{len(HOSTILE)} subjects: return page"
    assert page.locator("base, main img, main svg [onload]").count() == 0
    for link in page.locator("a").all():
        assert (link.get_attribute("href") or "").startswith("#")
    shown = [text.strip() for text in page.locator(".subject h2 > bdi").all_text_contents()]
    assert shown == [clean(text) for text in HOSTILE], "each name reads as it was written"
    readout = page.locator("#readout b").text_content()
    assert readout == clean(f"{HOSTILE[-1]}, waiting for light")


def test_with_scripts_off_it_says_and_draws_all_of_it(show: Callable[..., Opened]) -> None:
    given = several()
    page = show(given, "phone", java_script_enabled=False).page
    outer = page.locator("details.fold:not(.fold .fold) > summary:visible")
    for folds in (outer, page.locator(".fold .fold > summary:visible")):
        for each in folds.all():
            each.click()  # the browser unfolds it by itself
    text = page.locator("body").inner_text()
    for each in given.subjects:
        assert each.subject.name in text
        assert each.subject.blocked in text
        assert each.subject.next_time in text
        assert each.notes[0].text.splitlines()[0] in text
    for expected in ("16:41", "± 4 min", "15° up", "side-lit from the right", "47.081200"):
        assert expected in text
    assert not page.locator("#map_return").is_visible()
    drawing = page.locator("figure.drawn svg")
    assert drawing.is_visible()
    assert drawing.bounding_box()["width"] > 300
    for kind in ("walked", "planned", "error", "sun", "subject", "waypoint", "scale", "north"):
        assert drawing.locator(f".{kind}").count() > 0, kind


def test_its_values_are_the_plans(show: Callable[..., Opened]) -> None:
    given = quarry_page()
    page = show(given).page
    rows = page.locator("table.windows tbody tr")
    plan = json.loads(json.dumps(plain(given.subjects[0].windows)))
    assert rows.count() == len(plan)
    for row, window in zip(rows.all(), plan, strict=True):
        times = [t.get_attribute("datetime") for t in row.locator("time").all()]
        assert times == [window["start"], window["end"], window["best"]]
        values = [float(d.get_attribute("value")) for d in row.locator("data").all()]
        assert values == [window["sun_altitude_deg"], window["sun_azimuth_deg"]]
        assert window["why"] in row.text_content(), "in the folded rows too"
    carried = json.loads(page.locator("#return-data").text_content())
    subject = plain(given.subjects[0].subject)
    assert carried["subjects"][0]["at"] == pytest.approx(
        [subject["place"]["latitude_deg"], subject["place"]["longitude_deg"]], abs=1e-7
    )
    assert carried["subjects"][0]["error_m"] == subject["place"]["error_m"]


def test_a_tap_reads_the_place_as_the_program_writes_it(show: Callable[..., Opened]) -> None:
    page = show(quarry_page()).page
    box = page.locator("#map_return").bounding_box()
    page.mouse.click(box["x"] + box["width"] * 0.8, box["y"] + box["height"] * 0.3)
    lines = page.locator("#readout").inner_text().splitlines()
    latitude, longitude = (float(part) for part in lines[0].split(", "))
    assert lines[0] == decimal_text(latitude, longitude)
    degrees = re.findall(r"\d+(?:\.\d)?", lines[1])
    again = [float(d) + float(m) / 60 + float(s) / 3600 for d, m, s in (degrees[:3], degrees[3:])]
    assert again == pytest.approx([latitude, -longitude], abs=0.06 / 3600)
    assert lines[1].count("'") == dms_text(latitude, longitude).count("'") == 2
    assert re.fullmatch(r"[\d.]+ k?m at \d{3}° true from Winding house", lines[4])


@pytest.mark.parametrize(
    ("latitude", "longitude"),
    [
        *((47.0003, -21.0002), (-33.9, 18.42), (60.39, 5.32), (78.22, 15.65), (0.00001, -179.9999)),
        *((-0.00001, 0.5), (83.9, 41.9), (-79.9, 179.9999), (71.99, 8.99), (55.99, 11.99)),
    ],
)
def test_a_tap_gives_the_references_of_the_grids(
    untouched: Any, latitude: float, longitude: float
) -> None:
    """UTM against pyproj, MGRS against the library of that name (GEOTRANS): the same metre."""
    import mgrs
    from pyproj import Transformer

    utm, reference = untouched.evaluate("([a, b]) => gridTexts(a, b)", [latitude, longitude])
    zone, east, north = re.fullmatch(r"(\d+)[A-Z] (\d+) (\d+)", utm).groups()
    crs = f"EPSG:32{'6' if latitude >= 0 else '7'}{int(zone):02d}"
    to_grid = Transformer.from_crs("EPSG:4326", crs, always_xy=True)
    x, y = to_grid.transform(longitude, latitude)
    assert (float(east), float(north)) == pytest.approx((x, y), abs=0.51)
    theirs = mgrs.MGRS().toMGRS(latitude, longitude, MGRSPrecision=5)
    assert reference.replace(" ", "").rjust(15, "0") == theirs.rjust(15, "0")


def test_no_grid_is_named_where_there_is_none(untouched: Any) -> None:
    assert untouched.evaluate("gridTexts(84, 10).length + gridTexts(-80.01, 10).length") == 0


def test_layers_can_be_switched_and_views_chosen(show: Callable[..., Opened]) -> None:
    page = show(several()).page
    walks = page.locator(".leaflet-overlay-pane path.walked")
    page.uncheck('[data-layer="walks"]')
    assert walks.count() == 0
    page.check('[data-layer="walks"]')
    assert walks.count() == 2
    radius = "document.querySelector('path.error').getBoundingClientRect().width"
    before = page.evaluate(radius)
    page.select_option("#view", label="Winding house")
    assert page.evaluate(radius) > 3 * before, "the error circle is to scale near by"
    strip = "document.querySelector('path.sun').getAttribute('d')"
    assert page.evaluate(strip) != "M0 0"
    page.select_option("#view", label="Pump wheel")
    assert page.evaluate(strip) == "M0 0", "it has no window, so no strip"


def test_what_is_touched_is_large_enough(show: Callable[..., Opened]) -> None:
    page = show(several(), "phone").page
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    for selector in (".jump a", ".tools button", ".tools select", ".key label", ".mark.subject"):
        for each in page.locator(selector).all():
            box = each.bounding_box()
            assert box["height"] >= 48, selector
            assert box["width"] >= 48, selector


def test_the_base_map_is_asked_for_only_when_switched_on(show: Callable[..., Opened]) -> None:
    url = "https://tiles.example/{z}/{x}/{y}.png"
    opened = show(quarry_page(), base_map_url=url)
    tile = "data:image/gif;base64,R0lGODlhAQABAAAAACwAAAAAAQABAAA="
    assert (
        opened.page.evaluate(f"new Promise(r => fetch('{tile}').then(() => r(1), () => r(0)))") == 0
    )
    opened.printed.clear()
    opened.asked.clear()
    opened.page.check("#base-map")
    opened.page.wait_for_function("document.querySelector('#readout').innerText.includes('answer')")
    assert opened.asked
    assert all(asked.startswith("https://tiles.example/") for asked in opened.asked)
    opened.page.uncheck("#base-map")
    assert opened.page.locator("#map_return").is_visible()


ATTEMPTS = (
    "const s = document.createElement('script'); s.textContent = 'window.__ran = 1';"
    "document.body.append(s)",
    "document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"window.__ran=1\">')",
    "document.body.insertAdjacentHTML('beforeend', '<a id=j href=\"javascript:window.__ran=1\">"
    "x</a>'); document.getElementById('j').click()",
    "const s = document.createElement('script'); s.src = 'https://elsewhere.example/x.js';"
    "document.body.append(s)",
)


def test_its_policy_is_enforced(show: Callable[..., Opened]) -> None:
    opened = show(quarry_page())
    for attempt in ATTEMPTS:
        opened.printed.clear()
        opened.page.evaluate(f"() => {{ {attempt} }}")
        opened.page.wait_for_timeout(150)
        assert opened.page.evaluate("window.__ran") is None, attempt
        assert any("Content Security Policy" in line for line in opened.printed), attempt


def ink(page: Any, selector: str) -> bytes:
    """What is seen of an element, as an image."""
    seen: bytes = page.locator(selector).screenshot()
    return seen


def test_the_ground_lies_under_the_map_and_its_layers_can_be_taken_off(
    show: Callable[..., Opened],
) -> None:
    opened = show(with_ground(quarry_page()))
    page = opened.page
    assert page.locator("#map_return svg.ground use").count() == 2
    whole = ink(page, "#map_return")
    page.uncheck("[data-layer=shade]")
    bare = ink(page, "#map_return")
    assert bare != whole
    page.uncheck("[data-layer=relief]")
    assert ink(page, "#map_return") != bare
    assert page.locator(".names .height").count() == 0
    page.check("[data-layer=relief]")
    page.check("[data-layer=shade]")
    assert page.locator("svg.ground use[display=none]").count() == 0, "and be put back"
    assert page.locator(".names .height").all_inner_texts() == ["100"], "the heavier one's height"
    assert opened.printed == []


def test_the_minute_whose_shade_is_shown_can_be_chosen(show: Callable[..., Opened]) -> None:
    page = show(with_ground(quarry_page())).page
    assert page.locator("#moment option").all_inner_texts() == [
        "Shade 16:41 light from",
        "Shade 16:51 best",
        "Shade 17:08 light to",
    ]
    assert page.locator("#moment").input_value() == "1"
    assert page.locator("#shade-says").inner_text() == "Shade at 16:51"
    before = ink(page, "#map_return")
    page.select_option("#moment", "2")
    assert page.locator("#shade-says").inner_text() == "Shade at 17:08"
    assert ink(page, "#map_return") != before


def test_the_ground_goes_where_the_map_goes(show: Callable[..., Opened]) -> None:
    page = show(with_ground(quarry_page())).page
    # its middle is the subject's own place, 47.0812 N, here and after dragging and zooming
    offset = """() => {
      const use = document.querySelector('svg.ground use').getBoundingClientRect();
      const mark = document.querySelector('.mark.subject').getBoundingClientRect();
      return [use.x + use.width / 2 - mark.x - mark.width / 2,
              use.y + use.height / 2 - mark.y - mark.height / 2];
    }"""
    box = page.locator("#map_return").bounding_box()
    x, y = box["x"] + 200, box["y"] + 200
    for step in ("at rest", "dragged", "closer", "wider"):
        if step == "dragged":
            page.mouse.move(x, y)
            page.mouse.down()
            page.mouse.move(x + 60, y + 35, steps=4)
            across, down = page.evaluate(offset)
            assert abs(across) < 2.5, "in the midst of it"
            assert abs(down) < 2.5
            page.mouse.up()
        elif step != "at rest":
            page.click(f"#{step}")
        across, down = page.evaluate(offset)
        assert abs(across) < 2.5, step
        assert abs(down) < 2.5, step


def test_with_scripts_off_the_ground_stands_in_the_drawings(show: Callable[..., Opened]) -> None:
    page = show(with_ground(quarry_page()), java_script_enabled=False).page
    drawing = "figure.drawn svg"
    whole = ink(page, drawing)
    assert page.locator(f"{drawing} use").count() == 2
    assert page.locator(f"{drawing} text.height").count() == 1
    without = show(quarry_page(), java_script_enabled=False).page
    assert ink(without, drawing) != whole
    assert "No relief and no shade here" in without.locator("#map").inner_text()
    assert "drawn from quarry.tif" in page.locator("#map").text_content()
    assert "Shade at 16:51, Sun 18 Oct 2026" in page.locator(".key").inner_text()


def test_print_shows_the_drawing_in_place_of_the_sliding_map(show: Callable[..., Opened]) -> None:
    page = show(quarry_page()).page
    page.emulate_media(media="print")
    assert page.locator("figure.drawn svg").is_visible()
    assert not page.locator("#map_return").is_visible()
    assert not page.locator(".tools").is_visible()
    assert not page.locator(".key input").first.is_visible()


def test_how_far_a_place_may_be_off_is_in_sight(show: Callable[..., Opened]) -> None:
    subject = quarry_subject()
    place = replace(subject.subject.place, error_m=5900.0)
    far = replace(subject, subject=replace(subject.subject, place=place))
    page = show(quarry_page(far)).page
    page.wait_for_timeout(350)  # the map slides there
    circle = page.locator("#map_return path.error").first.bounding_box()
    frame = page.locator("#map_return").bounding_box()
    assert circle["width"] > 100
    assert frame["x"] <= circle["x"]
    assert circle["x"] + circle["width"] <= frame["x"] + frame["width"]
    assert circle["y"] + circle["height"] <= frame["y"] + frame["height"]
