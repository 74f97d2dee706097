"""The hot path of reading a track: expat's handlers for inside a segment.

They do what `gpx._Reading.start` and `end` do in general, with cell variables in place of
attributes and the three common elements told apart by name. What is unusual goes back to the
reading: a bad position, a height or time that has to be parsed, an element not known here.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from backbearing.readers.values import FARTHEST_HEIGHT_M, NO_TIME

if TYPE_CHECKING:
    from collections.abc import Mapping

    from backbearing.readers.gpx import _Reading
    from backbearing.readers.safexml import Handlers


def fix_handlers(
    reading: _Reading, segment: Mapping[str, object], fix: Mapping[str, object]
) -> Handlers:
    """Start and end handlers; `segment` and `fix` hold the names allowed in each."""
    longitudes, latitudes, heights, times = reading.columns
    add_longitude, add_latitude = longitudes.append, latitudes.append
    add_height, add_ms = heights.append, times.append
    text = reading.xml.text
    clear = text.clear
    minutes = reading.instants.minutes
    seconds = reading.instants.seconds
    fix_name, height_name, time_name = (reading.prefix + n for n in ("trkpt", "ele", "time"))
    nan = math.nan
    nothing: Mapping[str, object] = {}  # may stand in a height or a time
    allowed = segment
    latitude = longitude = height = nan  # of the open fix
    ms = NO_TIME

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal allowed, latitude, longitude, height, ms
        if name not in allowed:
            reading.skip_foreign(name)
            return
        clear()
        if name != fix_name:
            allowed = nothing
            return
        height, ms = nan, NO_TIME
        allowed = fix
        try:
            latitude_text, longitude_text = attributes["lat"], attributes["lon"]
            latitude, longitude = float(latitude_text), float(longitude_text)
        except (KeyError, ValueError):
            latitude = nan
        # as in `decimal`; nan fails the comparison
        if (
            -90.0 <= latitude <= 90.0
            and -180.0 <= longitude < 180.0
            and (both := latitude_text + longitude_text).isascii()
            and "_" not in both
        ):
            return
        if reading.start_position(attributes):
            latitude, longitude = reading.latitude, reading.longitude
        else:
            allowed = segment
            reading.xml.skip()

    def end(name: str) -> None:
        nonlocal allowed, height, ms
        if name == height_name:
            allowed = fix
            try:
                (written,) = text
                height = float(written)
            except ValueError:
                height = nan
            # as in `decimal`
            if not (-FARTHEST_HEIGHT_M <= height <= FARTHEST_HEIGHT_M) or (
                not written.isascii() or "_" in written
            ):
                height = reading.read_height()
        elif name == time_name:
            allowed = fix
            try:
                (written,) = text
                ms = minutes[written[:17]] + seconds[written[17:]]
            except (ValueError, KeyError):
                ms = reading.read_time()
        elif name == fix_name:
            allowed = segment
            add_longitude(longitude)
            add_latitude(latitude)
            add_height(height)
            add_ms(ms)
        else:  # the segment's own end
            reading.xml.handlers = reading.handlers
            reading.xml.resume()
            reading.end(name)

    return start, end
