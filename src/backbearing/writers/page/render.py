"""The return page as one file: words, tables and a drawing in HTML, and a map that slides."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any

from backbearing import __version__
from backbearing.places.coordinates import decimal_text
from backbearing.places.words import metres_text
from backbearing.plans.homeground import every_spot, home_spots
from backbearing.plans.passages import last_found_text
from backbearing.plans.searchlines import walk_lines
from backbearing.records import SUBJECT_STATES
from backbearing.saying import ENGLISH, say, say_n, spoken
from backbearing.writers.apart import apart, apart_or_name, names_apart
from backbearing.writers.named import page_names
from backbearing.writers.page import chart
from backbearing.writers.page.base_map import BaseMap, read_base_map
from backbearing.writers.page.chosen import chosen_data
from backbearing.writers.page.content import PageWords, page_words
from backbearing.writers.page.exposures import exposure_words
from backbearing.writers.page.ground import ground_data, ground_store, ground_words
from backbearing.writers.page.head import cut, walked_words
from backbearing.writers.page.labels import short_name
from backbearing.writers.page.leaflet import leaflet_script, leaflet_style
from backbearing.writers.page.lightcalendar import calendars_words
from backbearing.writers.page.lines import ways_of
from backbearing.writers.page.missing import missing_words
from backbearing.writers.page.once import folium_map, template_cache
from backbearing.writers.page.outing import outing_words
from backbearing.writers.page.plane import middle
from backbearing.writers.page.plates import plate_words
from backbearing.writers.page.searchwalk import stop_marks
from backbearing.writers.page.strip import strips_words
from backbearing.writers.plain import plain

if TYPE_CHECKING:
    from collections.abc import Callable

    from jinja2 import Environment, Template
    from markupsafe import Markup

    from backbearing.plans.page import ReturnPage
    from backbearing.records import Json
    from backbearing.writers.page.search import SearchWords
    from backbearing.writers.page.together import Together

SHOWN_WINDOWS = 4  # in the list of all; the rest is folded
_SCRIPT_TEXT = re.compile(r'\bsaid\(("(?:[^"\\\\]|\\\\.)*")')
DAY_TEMPLATES = ("six.html", "day.html", "course.html")  # of a day, planned or chosen
_ON_EVERY_PAGE = ("page.html", "record.html", "year.html", "exposures.html", *DAY_TEMPLATES)
MERCATOR_ENDS_DEG = 85.0  # the sliding map's projection ends there; the drawing goes on


def render_page(
    page: ReturnPage,
    *,
    base_map_url: str | None = None,
    together: Together | None = None,
    other_days: str = "",
) -> str:
    """The whole page as HTML that asks for nothing: the same page gives the same bytes.

    base_map_url: a tile template the reader may switch on; nothing is fetched before that.
    together: the pages it links to. other_days: as `draw_other_days` gives them; '' holds none.
    Raises BadInput for a template that is none (see `read_base_map`).
    """
    with names_apart(page_names(page)):
        base_map = read_base_map(base_map_url) if base_map_url else None
        return _rendered(page, base_map, together, other_days)


def get_ready() -> None:
    """Make what is the same on every page, where it is not kept yet."""
    folium_map()
    for name in _ON_EVERY_PAGE:
        template(name)


def template(name: str) -> Template:
    """A template of ours."""
    return _templates().get_template(name)


def _rendered(
    page: ReturnPage, base_map: BaseMap | None, together: Together | None, other_days: str
) -> str:
    from markupsafe import Markup

    ways = ways_of(page)
    words = page_words(page, ways)
    data = map_data(page, words, base_map)
    if data["chosen"]:
        data["chosen"]["others"] = other_days
    slides = bool(data["fit"]) and all(abs(s[0]) < MERCATOR_ENDS_DEG for s in data["fit"])
    own = [
        own_text("page.css"),
        own_text("tripod.css"),
        own_text("year.css"),
        own_text("record.css"),
        own_text("choose.css"),
    ]
    styles = [leaflet_style(), *own] if slides else own
    div, start = folium_map() if slides else ("", "")
    scripts = (
        [leaflet_script(), own_text("page.js"), own_text("places.js"), start] if slides else []
    )
    if page.subjects:
        scripts.append(own_text("record.js"))
    if slides and page.chosen:
        scripts += [own_text("year.js"), own_text("choose.js")]
    raw = Markup  # only for what is made here, each escaped in its own way
    html = template("page.html").render(
        words=words,
        page=page,
        policy=_policy(scripts, styles, base_map),
        styles=[raw(style) for style in styles],
        scripts=[raw(script) for script in scripts],
        data=raw(json_for_script(data)),
        map_div=raw(div),
        home=raw(chart.home_map(page, ways)),
        whole=raw(chart.whole_map(page, ways)),
        slides=slides,
        shown_windows=SHOWN_WINDOWS,
        way_says=walked_words(page),
        ground=ground_words(page),
        outing=outing_words(page),
        missing=missing_words(page),
        exposure=exposure_words(page),
        plates=plate_words(page),
        record_states=SUBJECT_STATES,
        crossings=[(each.kind, each.name, last_found_text(each)) for each in page.passages],
        calendars=calendars_words(page),
        strips=strips_words(page),
        searches=_searches(page),
        store=raw(ground_store(page)),
        base_map=base_map,
        together=together,
        version=__version__,
        language=spoken().code,
    )
    return html if html.endswith("\n") else html + "\n"


def _searches(page: ReturnPage) -> tuple[SearchWords, ...]:
    if not page.searches:
        return ()
    from backbearing.writers.page.search import search_words  # only a search pays for it

    return search_words(page)


def map_data(page: ReturnPage, words: PageWords, base_map: BaseMap | None = None) -> Json:
    """What the sliding map draws: positions as [latitude, longitude], words ready to show."""
    subjects, spots = words.subjects, every_spot(page)
    centre = middle(spots)[1] if spots else 0.0

    def at(latitude: float, longitude: float) -> list[float]:
        """A spot on the same side of the antimeridian as the rest."""
        return [round(latitude, 7), round(centre + (longitude - centre + 540.0) % 360.0 - 180.0, 7)]

    def line(points: Any) -> list[list[float]]:
        """A line shifted as a whole, so that it keeps running over the antimeridian."""
        if not points:
            return []
        shift = at(*points[0])[1] - points[0][1]
        return [[round(lat, 6), round(lon + shift, 6)] for lat, lon in points]

    data: Json = {
        "subjects": [
            {
                "anchor": w.anchor,
                "number": w.number,
                "name": short_name(w.name),
                "says": [w.name_and_state, w.light, w.place.error],
                "at": at(w.each.subject.place.latitude_deg, w.each.subject.place.longitude_deg),
                "error_m": w.each.subject.place.error_m,
                "gone": w.each.subject.state == "gone",
                "cameras": [
                    {
                        "name": chart.camera_label(c.name),
                        "says": [
                            say("camera position {camera} of {name}", camera=c.name, name=w.name),
                            c.bearing,
                            c.place.error,
                        ],
                        "at": at(c.latitude_deg, c.longitude_deg),
                    }
                    for c in w.cameras
                ],
                "plate": [at(*spot) for spot in chart.plate_ends(page, w.each)],
                "plate_says": chart.plate_label(page, w.each),
                "sun_azimuths_deg": chart.strip_azimuths_deg(w.each),
                "sun": chart.strip_label(w.each),
            }
            for w in subjects
        ],
        "tracks": [
            {
                "says": [
                    each.track.name or say("walk {track_id}", track_id=each.track.id),
                    each.track.file_name,
                ],
                "lines": [line(piece) for piece in each.lines],
            }
            for each in page.tracks
        ],
        "lines": [
            {
                "says": [each.name or each.kind, each.kind],
                "water": each.is_water,
                "line": line(each.line),
            }
            for each in page.lines
        ],
        "way_in": [{"walked": one.walked, "line": line(one.line)} for one in page.way_pieces],
        "passages": [
            {
                "name": short_name(each.name),
                "sign": chart.PASSAGE_SIGNS[each.latest.state],
                "kind": chart.passage_kind(each),
                "says": [f"{say(each.kind)} {each.name}", last_found_text(each)],
                "at": at(each.place.latitude_deg, each.place.longitude_deg),
            }
            for each in page.passages
        ],
        "routes": [
            {
                "says": [route.name or say("planned route"), say("not walked yet")],
                "line": line([(p.latitude_deg, p.longitude_deg) for p in route.points]),
            }
            for route in page.routes
        ]
        + [
            {
                "says": [
                    say("next walk for {subject}", subject=walk.subject),
                    say("not walked yet"),
                ],
                "line": line(piece),
            }
            for walk in page.search_walks
            for piece in walk_lines(walk)
        ],
        "waypoints": [
            {
                "name": short_name(p.name) if p.name else "",
                "says": [p.name or say("waypoint"), p.comment or p.description],
                "at": at(p.latitude_deg, p.longitude_deg),
            }
            for p in page.waypoints
        ]
        + [
            {"name": name, "says": [name, says], "at": at(latitude, longitude)}
            for walk in page.search_walks
            for name, says, latitude, longitude in stop_marks(walk)
        ],
        "notes": [
            {
                "anchor": n.anchor,
                "name": n.name,
                "says": [n.name, *n.lines, n.where],
                "at": at(n.place.latitude_deg, n.place.longitude_deg),
            }
            for n in words.loose
            if n.place
        ],
        "next": next((i for i, w in enumerate(subjects) if w.each is page.next_lit), -1),
        "ground": ground_data(page),
        "chosen": chosen_data(page, words),
        "texts": _script_texts(own_text("page.js")),
        "base_map": {"url": base_map.url, "host": base_map.host} if base_map else None,
    }
    if page.ground is not None:
        ground = data["ground"]
        ground["north_west"], ground["south_east"] = line(
            [
                (page.ground.north_deg, page.ground.west_deg),
                (page.ground.south_deg, page.ground.east_deg),
            ]
        )
    data["fit"] = _box([at(*spot) for spot in spots])
    data["home"] = _box([at(*spot) for spot in home_spots(page)])
    # the chosen day's names stay as on record: its script knows a subject by them
    return {
        part: _shown(held, apart if part != "chosen" else apart_or_name)
        for part, held in data.items()
    }


def _box(spots: list[list[float]]) -> list[list[float]]:
    """The south-west and north-east corner round these; [] round none."""
    if not spots:
        return []
    return [[min(s[i] for s in spots) for i in (0, 1)], [max(s[i] for s in spots) for i in (0, 1)]]


def json_for_script(value: Any) -> str:
    """JSON that may stand inside a script element: no markup, no line ends a script would break at.

    Source: the JSON grammar allows \\u escapes for any character of a string (RFC 8259,
    section 7), so the value read back is the same.
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for raw in "<>&\u2028\u2029":
        text = text.replace(raw, f"\\u{ord(raw):04x}")
    return text


def _policy(scripts: list[str], styles: list[str], base_map: BaseMap | None) -> str:
    """The page's Content-Security-Policy: only what stands in it runs, and it asks for nothing."""
    images = f"data: {base_map.origin}" if base_map else "data:"
    rules = {
        "default-src": "'none'",
        "script-src": " ".join(map(_hash, scripts)) or "'none'",
        "style-src": " ".join(map(_hash, styles)),
        "img-src": images,
        "connect-src": "'none'",
        "base-uri": "'none'",
        "form-action": "'none'",
    }
    return "; ".join(f"{name} {value}" for name, value in rules.items())


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


@cache
def own_text(name: str) -> str:
    """A style, script or template of ours as the page sends it."""
    text = (resources.files("backbearing.writers.page") / name).read_text(encoding="utf-8")
    text = text.replace("\r\n", "\n").strip()
    if name.endswith(
        ".js"
    ):  # indents and lines of comment need not be sent: no text of ours has any
        lines = (line.lstrip() for line in text.split("\n"))
        text = "\n".join(line for line in lines if not line.startswith("//"))
    return text


@cache
def _templates() -> Environment:
    from jinja2 import Environment, FunctionLoader, StrictUndefined
    from markupsafe import Markup

    def shown(value: Any) -> Any:
        """Every text that enters the page is cleaned here, whatever the template forgot."""
        known = isinstance(value, Markup) or not isinstance(value, str)
        return value if known else apart_or_name(value)

    templates = Environment(
        loader=FunctionLoader(own_text),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=shown,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=template_cache(
            say("escaped, strict, cleaned, blocks trimmed on the left too")
        ),
    )
    templates.globals |= {"_": _said, "_n": say_n}
    templates.filters |= {
        "cut": cut,
        "instant": plain,
        "mark": Markup,  # only ever given drawings that stand in the template itself
        "metres": metres_text,
        "where": lambda point: decimal_text(point.latitude_deg, point.longitude_deg),
    }
    return templates


def _said(text: str, /, **fields: object) -> Markup:
    """A text of a template in the language spoken: the table's own text, its fields escaped."""
    from markupsafe import Markup

    own = say(text)
    for sign, entity in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        own = own.replace(sign, entity)
    shown = {name: apart(value) if type(value) is str else value for name, value in fields.items()}
    return Markup(own).format(**shown) if fields else Markup(own)  # noqa: S704  escaped above


def _script_texts(script: str) -> dict[str, str]:
    """What the map's script says, English to the language spoken; nothing in English itself."""
    if spoken().code == ENGLISH:
        return {}
    texts = map(json.loads, _SCRIPT_TEXT.findall(script))
    return {text: say(text) for text in ("1.5", *texts)}


def _shown(value: Any, show: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return show(value)
    if isinstance(value, dict):
        return {key: _shown(each, show) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_shown(each, show) for each in value]
    return value
