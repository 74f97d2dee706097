"""The map as a drawing that stands in the page itself: for scripts off, and for print."""

from __future__ import annotations

from math import ceil, cos, degrees, radians, sin
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.places.days import short_month
from backbearing.places.words import degrees_text, metres_text
from backbearing.plans.homeground import every_spot, home_spots, home_subject
from backbearing.plans.soundness import leading
from backbearing.saying import say
from backbearing.writers.apart import apart
from backbearing.writers.page.frame import draw_grid, draw_scale_and_north
from backbearing.writers.page.ground import draw_ground
from backbearing.writers.page.labels import Labels, short_name
from backbearing.writers.page.lines import Ways, draw_ways, way_points
from backbearing.writers.page.plane import RADIUS_M, Point, Sheet, Spot, sheet_over
from backbearing.writers.page.searchwalk import stop_marks
from backbearing.writers.page.svg import put, short_number

if TYPE_CHECKING:
    from backbearing.plans.page import ReturnPage, ReturnSubject
    from backbearing.records import Passage, PassageState, Place, Waypoint

WHOLE_TYPE = 18.0  # units of the whole map's drawing; on a phone two thirds of it in pixels
LEAST_CIRCLE = 10.0  # a smaller error circle hides under its mark, so it is drawn this wide …
LEAST_BAR = 6.0  # a shorter bar of what the plate sees hides under the subject's mark
STRIP = 88.0  # length of the strip towards the sun
STRIP_DEG = 6.0
# two posts, a cross, a mark in doubt: the state is told by shape, and in words beside it
PASSAGE_SIGNS: dict[PassageState, str] = {
    "open": "‖",
    "blocked": "✕",
    "looked blocked": "✕",
    "unknown": "?",
}


def whole_map(page: ReturnPage, ways: Ways) -> str:
    """Everything on the page as one drawing; '' where there is nothing to draw."""
    spots = every_spot(page) + [spot for each in page.subjects for spot in _rim(each)]
    return _map_over(page, ways, spots, say("Map of everything on this page"))


def home_map(page: ReturnPage, ways: Ways) -> str:
    """What lies round the subject of the answer; '' where that is everything."""
    spots = home_spots(page)
    if spots and (centre := home_subject(page)) is not None:
        spots = [*spots, *_rim(centre)]
    return _map_over(page, ways, spots, say("Map of what lies near the next good light"))


def _map_over(page: ReturnPage, ways: Ways, spots: list[Spot], title: str) -> str:
    if not spots:
        return ""

    def fitted(spots: list[Spot]) -> Sheet:
        return sheet_over(spots, width=480.0, height=400.0, margin=44.0, least_m=240.0)

    sheet = fitted(spots)
    lit = page.next_lit
    sheet = fitted(spots + (_strip_tips(lit, sheet) if lit else []))
    return "".join(_draw(page, ways, sheet, title, lit=lit, size=WHOLE_TYPE))


def close_map(page: ReturnPage, each: ReturnSubject, ways: Ways) -> str:
    """The ground round one subject: its error, camera positions and the strip to the sun."""
    sheet = _close_sheet(each)
    title = say("The ground round {short_name}", short_name=short_name(each.subject.name))
    drawing, _ = _draw(page, ways, sheet, title, lit=each, size=14.0)
    return drawing


def _rim(each: ReturnSubject) -> list[Spot]:
    """How far a place may be off: the four ends of its error circle."""
    place = each.subject.place
    reach_deg = degrees(place.error_m / RADIUS_M)
    across_deg = min(reach_deg / max(cos(radians(place.latitude_deg)), 1e-6), 179.0)
    return [
        (
            min(max(place.latitude_deg + up * reach_deg, -90.0), 90.0),
            place.longitude_deg + side * across_deg,
        )
        for up, side in ((1, 0), (-1, 0), (0, 1), (0, -1))
    ]


def _close_sheet(each: ReturnSubject) -> Sheet:
    rim = _rim(each)

    def fitted(spots: list[Spot]) -> Sheet:
        return sheet_over(spots, width=360.0, height=300.0, margin=36.0, least_m=60.0)

    sheet = fitted([*_spots(each), *rim])
    return fitted([*_spots(each), *rim, *_strip_tips(each, sheet)])


# ---------------------------------------------------------------- drawing


def _draw(
    page: ReturnPage,
    ways: Ways,
    sheet: Sheet,
    title: str,
    *,
    lit: ReturnSubject | None,
    size: float,
) -> tuple[str, str]:
    """One drawing, and a paragraph of the stops whose number found no room on it, '' of none.

    Of the strips to the sun only that of `lit`, or they would hide the ground.
    """
    svg = ElementTree.Element(
        "svg",
        {
            "class": "chart" if size < WHOLE_TYPE else "chart whole",
            "viewBox": f"0 0 {short_number(sheet.width)} {short_number(sheet.height)}",
            "role": "img",
            "aria-label": apart(title),
        },
    )
    put(svg, "rect", "ground", width=sheet.width, height=sheet.height)
    labels = Labels(sheet, size)
    edge = ElementTree.Element("g")  # scale, north and the grid's figures lie over all lines
    heights, names = (ElementTree.Element("g") for _ in range(2))
    draw_scale_and_north(edge, sheet, labels)
    under = ElementTree.SubElement(svg, "g")
    grid = ElementTree.SubElement(svg, "g")
    draw_ways(svg, ways, sheet)
    for x, y in way_points(ways, sheet):
        labels.ways.append((x - 3, y - 3, x + 3, y + 3))
    waypoints = [p for p in page.waypoints if sheet.holds(_at(p, sheet))]
    for point in waypoints:
        x, y = _at(point, sheet)
        put(svg, "circle", "waypoint", cx=x, cy=y, r=3)
        labels.keep_off((x, y), 3.0)
    stops = [
        (name, says, at)
        for walk in page.search_walks
        for name, says, latitude, longitude in stop_marks(walk)
        if sheet.holds(at := sheet.at((latitude, longitude)))
    ]
    for _, _, (x, y) in stops:
        put(svg, "circle", "waypoint", cx=x, cy=y, r=3)
        labels.keep_off((x, y), 3.0)
    remarks = [
        (say("note {number}", number=number), at)
        for number, note in enumerate(page.loose_notes, 1)
        if note.place is not None and sheet.holds(at := _at(note.place, sheet))
    ]
    for _, (x, y) in remarks:
        shape = f"{x:.1f},{y - 5:.1f} {x + 5:.1f},{y:.1f} {x:.1f},{y + 5:.1f} {x - 5:.1f},{y:.1f}"
        put(svg, "polygon", "remark", points=shape)
        labels.keep_off((x, y), 5.0)
    crossings = [(each, at) for each in page.passages if sheet.holds(at := _at(each.place, sheet))]
    for passage, (x, y) in crossings:
        put(svg, "circle", f"passage {passage_kind(passage)}", cx=x, cy=y, r=size / 2)
        put(
            svg,
            "text",
            "passage",
            PASSAGE_SIGNS[passage.latest.state],
            x=x,
            y=y + 0.37 * size,
            text_anchor="middle",
        )
        labels.keep_off((x, y), size / 2 + 1.0)
    if lit:
        _strip(svg, lit, sheet, labels)
    for each in page.subjects:
        _subject(svg, each, sheet, labels)
        ends = [sheet.at(spot) for spot in plate_ends(page, each)]
        if ends and _apart(*ends) > LEAST_BAR:
            (x1, y1), (x2, y2) = ends
            for kind in ("plate-bar case", "plate-bar"):
                put(svg, "line", kind, x1=x1, y1=y1, x2=x2, y2=y2)
    for number, each in enumerate(page.subjects, 1):
        _subject_name(names, each, number, sheet, labels)
    if lit:
        _strip_name(names, lit, sheet, labels)
    for each in page.subjects:
        _camera_names(names, each, sheet, labels)
        _plate_name(names, page, each, sheet, labels)
    for passage, spot in crossings:
        labels.set(names, spot, passage_labels(passage), "second", 10.0)
    for text, spot in remarks:
        labels.set(names, spot, [text], "second", 7.0)
    unnamed = [
        f"{text}: {says}"
        for text, says, spot in stops
        if not labels.set(names, spot, [text, text.split()[-1]], "second", 6.0)
    ]
    for point in waypoints:
        if point.name:
            labels.set(names, _at(point, sheet), [short_name(point.name)], "second", 6.0)
    draw_grid(grid, edge, sheet, labels)
    draw_ground(under, heights, page.ground, sheet, labels)
    svg.extend([heights, edge, names])
    return ElementTree.tostring(svg, encoding="unicode"), _unnamed_words(unnamed)


def _unnamed_words(stops: list[str]) -> str:
    if not stops:
        return ""
    said = ElementTree.Element("p", {"class": "cap"})
    said.text = apart(say("No room here for the number of {stops}.", stops="; ".join(stops)))
    return ElementTree.tostring(said, encoding="unicode")


def _subject(svg: ElementTree.Element, each: ReturnSubject, sheet: Sheet, labels: Labels) -> None:
    """A subject's error circle, camera positions and mark; names come later."""
    at = sheet.at(_spots(each)[0])
    radius = max(each.subject.place.error_m / sheet.metres_a_unit, LEAST_CIRCLE)
    if not (-radius < at[0] < sheet.width + radius and -radius < at[1] < sheet.height + radius):
        return
    put(svg, "circle", "error", cx=at[0], cy=at[1], r=radius)
    labels.keep_off(at, 7.0)
    for camera in each.cameras:
        spot = _at(camera.place, sheet)
        put(svg, "line", "sight", x1=spot[0], y1=spot[1], x2=at[0], y2=at[1])
        if _apart(spot, at) > 9.0:  # nearer, the subject's mark would lie on it
            put(svg, "circle", "camera", cx=spot[0], cy=spot[1], r=4)
            labels.keep_off(spot, 4.0)
    kind = "subject gone" if each.subject.state == "gone" else "subject"
    put(svg, "rect", kind, x=at[0] - 4.5, y=at[1] - 6, width=9, height=12)


def _subject_name(
    names: ElementTree.Element, each: ReturnSubject, number: int, sheet: Sheet, labels: Labels
) -> None:
    """A subject's name, with its error where the circle is too small for it; else its number."""
    at = sheet.at(_spots(each)[0])
    if not sheet.holds(at):
        return
    subject = each.subject
    name = short_name(subject.name) + (say(" (gone)") if subject.state == "gone" else "")
    texts = [name, str(number)]
    if subject.place.error_m / sheet.metres_a_unit < LEAST_CIRCLE:
        texts.insert(0, f"{name} ± {metres_text(ceil(subject.place.error_m))}")
    labels.set(names, at, texts, "name", 11.0)


def _camera_names(
    names: ElementTree.Element, each: ReturnSubject, sheet: Sheet, labels: Labels
) -> None:
    at = sheet.at(_spots(each)[0])
    for camera in each.cameras:
        spot = _at(camera.place, sheet)
        if sheet.holds(spot) and _apart(spot, at) > 12.0:
            labels.set(names, spot, [camera_label(camera.name), say("camera")], "second", 8.0)


def _plate_name(
    names: ElementTree.Element,
    page: ReturnPage,
    each: ReturnSubject,
    sheet: Sheet,
    labels: Labels,
) -> None:
    """How wide the plate sees, at an end of its bar."""
    ends = [sheet.at(spot) for spot in plate_ends(page, each)]
    if ends and _apart(*ends) > LEAST_BAR and all(map(sheet.holds, ends)):
        labels.set(names, max(ends), [plate_label(page, each)], "second", 8.0)


def _plate(page: ReturnPage, each: ReturnSubject) -> tuple[Spot, float, float] | None:
    """The middle of the plate's bar, the way it lies (degrees from north), half its length [m]."""
    for held in page.tripod.pictures if page.tripod else ():
        frame = held.frame
        if held.subject == each.subject.name and frame is not None:
            if frame.bearing_deg is None or frame.sees_m is None:
                return None
            return _spots(each)[0], frame.bearing_deg + 90.0, frame.sees_m / 2
    return None


def plate_ends(page: ReturnPage, each: ReturnSubject) -> list[Spot]:
    """The ends of a bar at the subject, across the line from the camera, as wide as the plate
    sees there; [] where that is not known."""
    plate = _plate(page, each)
    if plate is None:
        return []
    (latitude, longitude), across_deg, half_m = plate
    north = degrees(half_m * cos(radians(across_deg)) / RADIUS_M)
    east = degrees(half_m * sin(radians(across_deg)) / RADIUS_M)
    east /= max(cos(radians(latitude)), 1e-6)
    return [(latitude + side * north, longitude + side * east) for side in (1, -1)]


def plate_label(page: ReturnPage, each: ReturnSubject) -> str:
    """`plate sees 7.4 m`; '' where that is not known."""
    plate = _plate(page, each)
    if plate is None:
        return ""
    wide = 2 * plate[2]
    return (
        say("plate sees {wide:.1f} m", wide=wide)
        if wide < 9.95
        else say("plate sees {wide}", wide=metres_text(round(wide)))
    )


def camera_label(name: str) -> str:
    """`camera`, with its name where it has one of its own."""
    return (
        say("camera") if name == "main" else say("camera {short_name}", short_name=short_name(name))
    )


def passage_labels(passage: Passage) -> list[str]:
    """Its name with what was found and when, and its name alone for where that has no room."""
    name, latest = short_name(passage.name), passage.latest
    if latest.on is None:
        return [name]
    day = f"{latest.on.day} {short_month(latest.on)} {latest.on.year}"
    found = say("{state} {day}", state=say(latest.state), day=day)
    return [f"{name}, {found}", name]


def passage_kind(passage: Passage) -> str:
    """Its state as a class: only what was tried and found shut has a full rim."""
    return "sure" if passage.latest.state in ("open", "blocked") else "unsure"


# ---------------------------------------------------------------- the strip to the sun


def strip_azimuths_deg(each: ReturnSubject) -> tuple[float, ...]:
    """The azimuths that bound the strip to where the sun stands at the best minute; () of none."""
    lead = leading(window for window in each.windows if window.sky == "clear")
    if lead is None:
        return ()
    return lead.sun_azimuth_deg - STRIP_DEG / 2, lead.sun_azimuth_deg + STRIP_DEG / 2


def strip_label(each: ReturnSubject) -> str:
    """`sun 237° at best`; '' without a strip."""
    ends = strip_azimuths_deg(each)
    return say("sun {ends} at best", ends=degrees_text(sum(ends) / 2)) if ends else ""


def _strip(svg: ElementTree.Element, each: ReturnSubject, sheet: Sheet, labels: Labels) -> None:
    at = sheet.at(_spots(each)[0])
    tips = _tips(each, at)
    if not tips or not sheet.holds(at):
        return
    outline = " ".join(f"{short_number(x)},{short_number(y)}" for x, y in [at, *tips])
    put(svg, "polygon", "sun case", points=outline)
    put(svg, "polygon", "sun", points=outline)
    for x, y in tips:
        for part in (0.2, 0.45, 0.7, 0.9):
            spot = at[0] + part * (x - at[0]), at[1] + part * (y - at[1])
            labels.keep_off(spot, 5.0, strip=True)


def _strip_name(
    names: ElementTree.Element, each: ReturnSubject, sheet: Sheet, labels: Labels
) -> None:
    at = sheet.at(_spots(each)[0])
    ends = strip_azimuths_deg(each)
    if ends and sheet.holds(at):
        tip = _towards(at, sum(ends) / 2, STRIP)
        labels.set(names, tip, [strip_label(each)], "light", 12.0)


def _tips(each: ReturnSubject, at: Point) -> list[Point]:
    """Where the strip ends, seen from the subject at `at`; nothing without a window of sun."""
    return [_towards(at, azimuth, STRIP) for azimuth in strip_azimuths_deg(each)]


def _strip_tips(each: ReturnSubject, sheet: Sheet) -> list[Spot]:
    """The ground under the strip's end on this sheet, so that the next can be fitted round it."""
    return [sheet.spot(tip) for tip in _tips(each, sheet.at(_spots(each)[0]))]


# ---------------------------------------------------------------- geometry


def _spots(each: ReturnSubject) -> list[Spot]:
    places = [each.subject.place, *(camera.place for camera in each.cameras)]
    return [(place.latitude_deg, place.longitude_deg) for place in places]


def _at(place: Place | Waypoint, sheet: Sheet) -> Point:
    return sheet.at((place.latitude_deg, place.longitude_deg))


def _towards(at: Point, azimuth_deg: float, length: float) -> Point:
    turn = radians(azimuth_deg)
    return at[0] + length * sin(turn), at[1] - length * cos(turn)


def _apart(one: Point, other: Point) -> float:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]))
