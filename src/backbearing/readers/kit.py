"""Kit from a TOML file the user edits: batches, cameras, lenses, shutters, holders.

Each kind is an array of tables; each table is checked key by key, and what is wrong is said with
the table's name and the key.
"""

from __future__ import annotations

import itertools
import math
import tomllib
import unicodedata
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any

from backbearing.errors import BadFile, BadInput, quoted
from backbearing.places.apertures import mark_f_number, scale_marks
from backbearing.places.lengths import read_length
from backbearing.readers.gunzip import read_whole
from backbearing.readers.kittable import LONGEST_NAME, MOST_ENTRIES, KitTable
from backbearing.readers.values import one_line
from backbearing.records import (
    APERTURE_SCALES,
    EMULSION_CLASSES,
    ApertureMark,
    Batch,
    Camera,
    FocusMark,
    Holder,
    Kit,
    Lens,
    Shutter,
    ShutterSpeed,
    TrialLight,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_BYTES = 1_000_000
LEAST_P = 0.3  # Schwarzschild's p of real emulsions is 0.7 to 1
SLOWEST_ISO = 1e-4
STEEPEST_TABLE = 5.0  # stops of time for one stop of light; beyond, a figure has slipped
_KEYS: dict[str, tuple[str, ...]] = {
    "batch": (
        *("name", "process", "emulsion", "speed", "tested_sun", "tested_shade", "tested_seconds"),
        *("reciprocity", "reciprocity_table", "holds_stops", "filters", "note"),
    ),
    "camera": (
        *("name", "plate", "image", "rise", "fall", "shift", "tilts", "fixed_way_up"),
        *("finder_crop", "plate_offset"),
    ),
    "lens": (
        *("name", "focal", "scale", "apertures", "widest", "narrowest", "coverage", "marks"),
        *("click_stops", "focus_clicks"),
    ),
    "shutter": ("name", "speeds", "cap", "bulb", "time"),
    "holder": ("name", "camera", "sides"),
}


def read_kit(path: str | Path, *, content: bytes | None = None) -> Kit:
    """The kit that a TOML file describes.

    content: the file's bytes, where they were read already.
    Raises BadFile, naming the table and the key: for what is no TOML, unknown keys (with the
    nearest known), missing or impossible values, and names given twice.
    """
    path = Path(path)
    raw = read_whole(path) if content is None else content
    if len(raw) > MOST_BYTES:
        raise BadFile("is too long for a kit file", path=path, remedy="keep it under 1 MB")
    try:
        tree = tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise BadFile("is not text in UTF-8", path=path, remedy="save it as UTF-8") from None
    except RecursionError:
        raise BadFile("is nested out of all measure", path=path) from None
    except ValueError as error:  # of TOML, or an integer of thousands of figures
        # its own words may quote the file; only the place is taken from them
        place = str(error).rpartition("(at ")[2].rstrip(")") if "(at " in str(error) else ""
        raise BadFile(
            f"is not TOML{f' (at {place})' if place.isascii() and place.isprintable() else ''}",
            path=path,
            remedy="'backbearing kit blank' prints a file to start from",
        ) from None
    unknown = [key for key in tree if key not in _KEYS]
    if unknown:
        raise BadFile(
            f"there is no kind of kit called {quoted(unknown[0])}",
            path=path,
            remedy=_nearest(unknown[0], list(_KEYS)),
        )
    kinds = {kind: _tables(tree.get(kind, []), kind, path) for kind in _KEYS}
    return Kit(
        batches=tuple(_batch(table) for table in kinds["batch"]),
        cameras=tuple(_camera(table) for table in kinds["camera"]),
        lenses=tuple(_lens(table) for table in kinds["lens"]),
        shutters=tuple(_shutter(table) for table in kinds["shutter"]),
        holders=tuple(_holder(table) for table in kinds["holder"]),
    )


def _tables(found: Any, kind: str, path: Path) -> list[KitTable]:
    if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
        raise BadFile(
            f"{kind} is not a list of tables", path=path, remedy=f"begin each with [[{kind}]]"
        )
    if len(found) > MOST_ENTRIES:
        raise BadFile(f"holds more than {MOST_ENTRIES} of {kind}", path=path)
    tables, names = [], set()
    for number, values in enumerate(found, start=1):
        table = KitTable(kind, number, values, path)
        for key in values:
            if key not in _KEYS[kind]:
                table.refuse(quoted(key), "is not a key of it", _nearest(key, _KEYS[kind]))
        key = unicodedata.normalize("NFC", table.name()).casefold()
        if key in names:
            table.refuse("name", "is given twice", "names of one kind must differ")
        names.add(key)
        tables.append(table)
    return tables


def _nearest(word: str, known: Sequence[str]) -> str:
    close = get_close_matches(word.lower(), known, n=1)
    return f"did you mean {close[0]}?" if close else f"known are {', '.join(known)}"


def _batch(table: KitTable) -> Batch:
    emulsion = table.word("emulsion", EMULSION_CLASSES, "ordinary")
    p = table.number("reciprocity", LEAST_P, 1.0)
    pairs = _reciprocity_table(table)
    if p is not None and pairs:
        table.refuse("reciprocity", "and reciprocity_table are both given", "keep one of them")
    filters = table.values.get("filters", {})
    if not isinstance(filters, dict) or len(filters) > MOST_ENTRIES:
        table.refuse("filters", "is not a table", "write it as {yellow = 2, orange = 4}")
    factors = {}
    for name, factor in filters.items():
        if (
            isinstance(factor, bool)
            or not isinstance(factor, int | float)
            or not 1 <= factor <= 1e6
        ):
            table.refuse(f"filters.{quoted(name)}", "is no factor", "give a number, 1 or more")
        factors[one_line(name)[:LONGEST_NAME]] = float(factor)
    tested = None
    if any(key in table.values for key in ("tested_sun", "tested_shade", "tested_seconds")):
        tested = TrialLight(
            sun_altitude_deg=table.number("tested_sun", -18.0, 90.0),
            shade=table.flag("tested_shade"),
            exposure_s=table.number("tested_seconds", 0.0, 86_400.0, above=True),
        )
    return Batch(
        name=table.name(),
        emulsion=_as(emulsion, EMULSION_CLASSES),
        process=table.text("process"),
        speed_iso=table.needed("speed", SLOWEST_ISO, 100_000.0),
        tested_in=tested,
        reciprocity_p=p,
        reciprocity_table=pairs,
        holds_stops=table.number("holds_stops", 0.0, 30.0, above=True),
        filters=factors,
        note=table.text("note"),
    )


def _reciprocity_table(table: KitTable) -> tuple[tuple[float, float], ...]:
    pairs: list[tuple[float, float]] = []
    key = "reciprocity_table"
    for row in table.rows(key):
        numbers = row if isinstance(row, list) and len(row) == 2 else [None]
        if not all(
            isinstance(n, int | float) and not isinstance(n, bool) and 0.0 < n < 1e6
            for n in numbers
        ):
            table.refuse(key, "holds a row that is not two times", "write [[1, 1], [10, 15]]")
        pairs.append((float(row[0]), float(row[1])))
    for before, after in itertools.pairwise(pairs):
        if not (after[0] > before[0] and after[1] > before[1]):
            table.refuse(key, "does not rise from row to row", "order it by metered seconds")
        steps = math.log(after[1] / before[1]), math.log(after[0] / before[0])
        if steps[0] > STEEPEST_TABLE * steps[1]:
            table.refuse(key, "rises too steeply from row to row", "see whether a figure slipped")
    if any(needed < metered for metered, needed in pairs):
        table.refuse(key, "asks for less than was metered", "[metered seconds, needed seconds]")
    if len(pairs) == 1:
        table.refuse(key, "has one row only", "give two or more")
    return tuple(pairs)


def _camera(table: KitTable) -> Camera:
    plate = table.size_mm("plate")
    if plate is None:
        table.refuse("plate", "is missing", 'write it as "10 x 16 cm" or a name')
    image = table.size_mm("image") or plate
    if image[0] > plate[0] + 0.5 or image[1] > plate[1] + 0.5:
        table.refuse("image", "is larger than the plate", "the holder leaves less free, not more")
    crop = table.values.get("finder_crop", {})
    sides = ("left", "right", "top", "bottom")
    if not isinstance(crop, dict) or set(crop) - set(sides):
        table.refuse(
            "finder_crop", "is not a table of sides", "write {left = 3, top = 5} in percent"
        )
    shares = []
    for side in sides:
        percent = crop.get(side, 0)
        if (
            isinstance(percent, bool)
            or not isinstance(percent, int | float)
            or not -40 <= percent <= 40
        ):
            table.refuse(f"finder_crop.{side}", "is no share", "give percent of the side")
        shares.append(percent / 100.0)
    movements = {key: table.length_mm(key, 0.0) or 0.0 for key in ("rise", "fall", "shift")}
    for key, length in movements.items():
        if not 0.0 <= length <= 500.0:
            table.refuse(key, f"{length:g} mm is outside 0 to 500 mm")
    return Camera(
        name=table.name(),
        plate_wide_mm=plate[0],
        plate_high_mm=plate[1],
        image_wide_mm=image[0],
        image_high_mm=image[1],
        rise_mm=movements["rise"],
        fall_mm=movements["fall"],
        shift_mm=movements["shift"],
        tilts=table.flag("tilts"),
        fixed_way_up=table.flag("fixed_way_up"),
        finder_crop=(shares[0], shares[1], shares[2], shares[3]),
        plate_offset_mm=table.length_mm("plate_offset", 0.0) or 0.0,
    )


def _lens(table: KitTable) -> Lens:
    focal = table.length_mm("focal")
    if focal is None or not 10.0 <= focal <= 3000.0:
        table.refuse("focal", "is missing or outside 10 to 3000 mm", 'write it as "170 mm"')
    scale = _as(table.word("scale", APERTURE_SCALES, "f-number"), APERTURE_SCALES)
    coverage = table.length_mm("coverage")
    if coverage is not None and not 10.0 <= coverage <= 3000.0:
        table.refuse("coverage", f"{coverage:g} mm is no image circle")
    apertures = _apertures(table, scale)
    marks = _focus_marks(table)
    if any(mark.sharp_m * 1000.0 <= 2.0 * focal for mark in marks):
        table.refuse("marks", "one is nearer than twice the focal length", "mind the unit")
    return Lens(
        name=table.name(),
        focal_mm=focal,
        scale=scale,
        apertures=apertures,
        coverage_mm=coverage,
        focus_marks=marks,
        click_stops=table.flag("click_stops"),
        focus_clicks=table.flag("focus_clicks"),
    )


def _apertures(table: KitTable, scale: Any) -> tuple[ApertureMark, ...]:
    rows = table.rows("apertures")
    widest = table.number("widest", 0.7, 512.0)
    narrowest = table.number("narrowest", 0.7, 512.0)
    if rows and (widest is not None or narrowest is not None):
        table.refuse(
            "apertures", "stands beside widest or narrowest", "keep the marks, or those two"
        )
    if widest is not None and narrowest is not None and widest > narrowest:
        table.refuse(
            "widest",
            f"is f/{widest:g}, which is narrower than narrowest, f/{narrowest:g}",
            "give the smaller f-number as widest",
        )
    if not rows:
        if widest is None or narrowest is None:
            table.refuse(
                "apertures",
                "is missing",
                "list the marks, or give widest and narrowest as f-numbers",
            )
        return scale_marks(scale, widest=widest, narrowest=narrowest)
    marks = []
    for row in rows:
        is_number = isinstance(row, int | float) and not isinstance(row, bool)
        text = f"{row:g}" if is_number and abs(row) < 1e6 else row
        if not isinstance(text, str):
            table.refuse("apertures", "holds what is no mark", 'write ["8", "11", "16"]')
        try:
            number = mark_f_number(text, scale, where="apertures")
        except BadInput as error:
            table.refuse("apertures", error.what, error.remedy)
        marks.append(ApertureMark(engraved=one_line(text), f_number=number))
    marks.sort(key=lambda mark: mark.f_number)
    return tuple(marks)


def _focus_marks(table: KitTable) -> tuple[FocusMark, ...]:
    marks = []
    for row in table.rows("marks"):
        entry = {"engraved": row} if isinstance(row, str) else row
        if not isinstance(entry, dict) or set(entry) - {"engraved", "tested"}:
            table.refuse("marks", "holds what is no mark", 'write "8 m" or {engraved = "8 m", …}')
        lengths: list[float | None] = []
        for key in ("engraved", "tested"):
            value = entry.get(key)
            if value is None:
                lengths.append(None)
                continue
            if value in ("inf", "∞", "infinity"):
                lengths.append(math.inf)
                continue
            if not isinstance(value, str):
                table.refuse(f"marks.{key}", "is not a length", 'write it as "8 m" or "25 ft"')
            try:
                lengths.append(read_length(value, where="marks"))
            except BadInput as error:
                table.refuse(f"marks.{key}", error.what, error.remedy)
        engraved = lengths[0]
        if engraved is None or engraved <= 0.0 or (lengths[1] is not None and lengths[1] <= 0.0):
            table.refuse("marks", "one has no distance above 0")
        marks.append(
            FocusMark(
                engraved=one_line(entry["engraved"]), engraved_m=engraved, tested_m=lengths[1]
            )
        )
    marks.sort(key=lambda mark: -mark.sharp_m)
    return tuple(marks)


def _shutter(table: KitTable) -> Shutter:
    speeds = []
    for row in table.rows("speeds"):
        entry = {"marked": row} if isinstance(row, str) else row
        if not isinstance(entry, dict) or set(entry) - {"marked", "tested"}:
            table.refuse("speeds", "holds what is no speed", 'write "1/25" or {marked = "1/25", …}')
        marked = _seconds(table, entry.get("marked"))
        tested = None if entry.get("tested") is None else _seconds(table, entry["tested"])
        speeds.append(
            ShutterSpeed(marked=one_line(str(entry["marked"])), marked_s=marked, tested_s=tested)
        )
    speeds.sort(key=lambda speed: speed.marked_s)
    return Shutter(
        name=table.name(),
        speeds=tuple(speeds),
        cap=table.flag("cap"),
        bulb=table.flag("bulb"),
        time=table.flag("time"),
    )


def _seconds(table: KitTable, value: Any) -> float:
    """'1/25', '1/25 s', '2', 0.5: seconds above 0."""
    text = str(value).strip().removesuffix("s").strip() if not isinstance(value, bool) else ""
    above, slash, below = text.partition("/")
    try:
        seconds = float(above) / float(below) if slash else float(above)
    except (ValueError, ZeroDivisionError):
        seconds = math.nan
    if not 0.0 < seconds <= 3600.0:
        table.refuse("speeds", f"{quoted(value)} is no time", "write it as 1/25 or 2, in seconds")
    return seconds


def _holder(table: KitTable) -> Holder:
    sides = table.number("sides", 1, 12)
    if sides is not None and sides != int(sides):
        table.refuse("sides", "is not a whole number")
    return Holder(
        name=table.name(), camera=table.text("camera"), sides=2 if sides is None else int(sides)
    )


def _as(word: str, known: tuple[Any, ...]) -> Any:
    """One of the known words, with their type."""
    return next(one for one in known if one == word)
