"""The ground under the map: relief, contours and shade, once in the page and used by each map.

They stand in one hidden drawing, in cells of the picture; every map lays them under itself by
reference, moved and stretched to its own projection.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from backbearing.places.words import metres_text
from backbearing.places.zones import clock_text, local
from backbearing.saying import say
from backbearing.writers.page.labels import crossed, text_width
from backbearing.writers.page.png import Tone, png_uri
from backbearing.writers.page.svg import put
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from backbearing.plans.page import ReturnPage
    from backbearing.plans.relief import GroundPicture
    from backbearing.writers.page.labels import Labels
    from backbearing.writers.page.plane import Sheet

_LEVEL = 0.5**0.5  # how brightly light from 45° up falls on level ground
_DARK_STEPS, _LIGHT_STEPS = 9, 5  # with level ground between them
_DARKEST, _FLAT, _LIGHTEST = 115, 56, 165  # how much tones cover: the last ones, level ground
_SHADE: Tone = (12, 18, 22, 97)  # flat and dark, over 38 % of the ground's tone
_PART_SHADE: Tone = (12, 18, 22, 54)
_PARTS = 2  # of a cell, to which contours are drawn
_LABELS_APART = 90.0  # units of a drawing
_SMALLEST = 24.0  # units of a drawing; a smaller picture is not worth laying


@dataclass(frozen=True, slots=True, kw_only=True)
class ShadeWords:
    """A moment whose shade can be shown."""

    anchor: str
    name: str  # "09:06 best"
    shown: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundWords:
    """What the page says of the ground it draws."""

    why_none: str
    contours: str  # "Contours every 20 m"
    shade: str  # "Shade at 09:06", '' where none is drawn
    shade_day: str
    shades: tuple[ShadeWords, ...]
    rests_on: str


def ground_words(page: ReturnPage) -> GroundWords:
    """What a page says of its ground, or why it draws none."""
    ground = page.ground
    if ground is None:
        return GroundWords(
            why_none=page.why_no_ground or say("no terrain is on record"),
            contours="",
            shade="",
            shade_day="",
            shades=(),
            rests_on="",
        )
    shown = ground.shades[ground.shown] if ground.shades else None
    zone = page.shade_zone
    cells = metres_text(round(ground.finest_m))
    if round(ground.coarsest_m) != round(ground.finest_m):
        cells += say(" to {coarsest}", coarsest=metres_text(round(ground.coarsest_m)))
    return GroundWords(
        why_none="",
        contours=say("Contours every {interval}", interval=metres_text(ground.interval_m)),
        shade=say("Shade at {at}", at=clock_text(shown.at, zone)) if shown else "",
        shade_day=day_text(local(shown.at, zone).date()) if shown else "",
        shades=tuple(
            ShadeWords(
                anchor=f"shade-{number}",
                name=f"{clock_text(shade.at, zone)} {say(shade.moment)}".strip(),
                shown=number == ground.shown,
            )
            for number, shade in enumerate(ground.shades)
        ),
        rests_on=say(
            "{rasters}, in cells of {cells}", rasters=", ".join(ground.rasters[:3]), cells=cells
        ),
    )


def ground_store(page: ReturnPage) -> str:
    """The hidden drawing that holds the ground's pictures and lines; '' where there is none."""
    ground = page.ground
    if ground is None:
        return ""
    svg = ElementTree.Element(
        "svg", {"class": "patterns", "width": "0", "height": "0", "aria-hidden": "true"}
    )
    store = ElementTree.SubElement(svg, "defs")
    relief = ElementTree.SubElement(store, "g", {"id": "ground-relief"})
    for kind, (tones, palette) in zip(("dark", "bright"), relief_tones(ground.light), strict=True):
        _picture(relief, f"relief {kind}", "", tones, palette)
    for kind in ("contour", "contour main"):
        lines = [c for c in ground.contours if c.main == (kind == "contour main")]
        drawn = "".join(_line(line) for contour in lines for line in contour.lines)
        if drawn:
            put(relief, "path", kind, d=drawn, transform=f"scale({1 / _PARTS})")
    for number, shade in enumerate(ground.shades):
        sunny = (*_SHADE[:3], 0)
        _picture(store, "shade", f"shade-{number}", shade.dark, [sunny, _PART_SHADE, _SHADE])
    return ElementTree.tostring(svg, encoding="unicode")


def draw_ground(
    svg: ElementTree.Element,
    names: ElementTree.Element,
    ground: GroundPicture | None,
    sheet: Sheet,
    labels: Labels,
) -> None:
    """Lay the ground, its shade and its heights under a drawing."""
    if ground is None:
        return
    rows, columns = ground.shape
    corner = sheet.at((ground.north_deg, ground.west_deg))
    right = sheet.at((ground.north_deg, ground.east_deg))
    below = sheet.at((ground.south_deg, ground.west_deg))
    if right[0] - corner[0] < _SMALLEST or below[1] - corner[1] < _SMALLEST:
        return
    across = [(right[i] - corner[i]) / columns for i in (0, 1)]
    down = [(below[i] - corner[i]) / rows for i in (0, 1)]
    matrix = " ".join(f"{value:.6g}" for value in (*across, *down, *corner))
    laid = ElementTree.SubElement(svg, "g", {"class": "laid", "transform": f"matrix({matrix})"})
    put(laid, "use", "lay", href="#ground-relief")
    if ground.shades:
        put(laid, "use", "lay", href=f"#shade-{ground.shown}")
    written: list[tuple[float, float]] = []
    for contour in ground.contours:
        text = f"{contour.height_m:.0f}"
        half = (text_width(text) * labels.size * 0.4, labels.size * 0.45)
        for column, row in contour.labels:
            x = corner[0] + across[0] * column + down[0] * row
            y = corner[1] + across[1] * column + down[1] * row
            box = (x - half[0], y - half[1], x + half[0], y + half[1])
            inside = box[0] > 2 and box[1] > 2
            inside = inside and box[2] < sheet.width - 2 and box[3] < sheet.height - 2
            near = any(abs(x - a) + abs(y - b) < _LABELS_APART for a, b in written)
            if inside and not near and not crossed(box, [*labels.taken, *labels.strips]):
                written.append((x, y))
                put(
                    names,
                    "text",
                    "height",
                    text,
                    x=x,
                    y=y + 0.35 * labels.size,
                    text_anchor="middle",
                )


def ground_data(page: ReturnPage) -> dict[str, Any] | None:
    """What the sliding map needs to lay the ground under itself."""
    ground = page.ground
    if ground is None:
        return None
    rows, columns = ground.shape
    words = ground_words(page)
    return {
        "north_west": [ground.north_deg, ground.west_deg],
        "south_east": [ground.south_deg, ground.east_deg],
        "columns": columns,
        "rows": rows,
        "heights": [
            [round(column, 1), round(row, 1), f"{contour.height_m:.0f}"]
            for contour in ground.contours
            for column, row in contour.labels
        ],
        "shades": [
            {
                "id": each.anchor,
                "says": say("Shade at {split}", split=each.name.split(" ")[0]),
                "day": (here := local(shade.at, page.shade_zone)).date().isoformat(),
                "minute": here.hour * 60 + here.minute,
            }
            for each, shade in zip(words.shades, ground.shades, strict=True)
        ],
        "shown": ground.shown,
    }


# ---------------------------------------------------------------- tones and lines


def relief_tones(
    light: NDArray[np.float32],
) -> tuple[tuple[NDArray[np.uint8], list[Tone]], tuple[NDArray[np.uint8], list[Tone]]]:
    """Hillshade, 0 … 1 and nan, as two pictures with their palettes: its dark and its light.

    They are weighed apart by day and by night, when the dark must leave room for shade. Level
    ground is whitened a little, to stand out from voids, which are left clear.
    """
    import numpy as np

    over = light - np.float32(_LEVEL)
    low = np.clip(np.rint(-over / _LEVEL * _DARK_STEPS), 0, _DARK_STEPS)
    high = 1 + np.clip(np.rint(over / (1 - _LEVEL) * _LIGHT_STEPS), 0, _LIGHT_STEPS)
    black = [(0, 0, 0, round(_DARKEST * step / _DARK_STEPS)) for step in range(_DARK_STEPS + 1)]
    steps = [step / _LIGHT_STEPS for step in range(_LIGHT_STEPS + 1)]
    white = [(255, 255, 255, round(_FLAT + (_LIGHTEST - _FLAT) * step)) for step in steps]
    return (
        (np.nan_to_num(low, nan=0).astype(np.uint8), black),
        (np.nan_to_num(high, nan=0).astype(np.uint8), [(0, 0, 0, 0), *white]),
    )


def _picture(
    parent: ElementTree.Element,
    kind: str,
    name: str,
    tones: NDArray[np.uint8],
    palette: list[Tone],
) -> None:
    rows, columns = tones.shape
    attributes = {"id": name} if name else {}
    put(
        parent,
        "image",
        kind,
        width=float(columns),
        height=float(rows),
        preserveAspectRatio="none",
        href=png_uri(tones, palette),
        **attributes,
    )


def _line(line: Any) -> str:
    """A contour as path data in whole parts of a cell, each step from the last."""
    import numpy as np

    whole = np.rint(np.asarray(line) * _PARTS).astype(int)
    steps = np.diff(whole, axis=0)
    steps = steps[(steps != 0).any(axis=1)]
    drawn = "".join(f"{x}{y:+d}" if i == 0 else f" {x}{y:+d}" for i, (x, y) in enumerate(steps))
    return f"M{whole[0, 0]} {whole[0, 1]}l{drawn}" if len(steps) else ""
