"""The hot path of reading a track: expat's handlers for inside a segment.

They do what `gpx._Reading.start` and `end` do in general, with cell variables in place of
attributes and the three common elements told apart by name. What is unusual goes back to the
reading: a bad position, a height or time that has to be parsed, an element not known here.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from backbearing.readers.values import NO_TIME

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
    join = "".join
    minutes = reading.instants.minutes
    seconds = reading.instants.seconds
    fix_name, height_name, time_name = (reading.prefix + n for n in ("trkpt", "ele", "time"))
    nan = math.nan
    allowed = segment

    def start(name: str, attributes: dict[str, str]) -> None:
        nonlocal allowed
        if name not in allowed:
            reading.skip_foreign(name)
            return
        clear()
        if name == fix_name:
            try:
                latitude_text = attributes["lat"]
                longitude_text = attributes["lon"]
                latitude = float(latitude_text)
                longitude = float(longitude_text)
            except (KeyError, ValueError):
                latitude = nan
            # as in `decimal`; nan fails the comparison
            if (
                -90.0 <= latitude <= 90.0
                and -180.0 <= longitude < 180.0
                and latitude_text.isascii()
                and longitude_text.isascii()
                and "_" not in latitude_text
                and "_" not in longitude_text
            ):
                reading.latitude = latitude
                reading.longitude = longitude
                reading.height = nan
                reading.ms = NO_TIME
            elif not reading.start_position(attributes):
                reading.xml.skip()
                return
            allowed = fix

    def end(name: str) -> None:
        nonlocal allowed
        if name == height_name:
            reading.end_height()
        elif name == time_name:
            written = join(text)
            try:
                reading.ms = minutes[written[:17]] + seconds[written[17:]]
            except KeyError:
                reading.end_time()
        elif name == fix_name:
            allowed = segment
            add_longitude(reading.longitude)
            add_latitude(reading.latitude)
            add_height(reading.height)
            add_ms(reading.ms)
        else:  # the segment's own end
            reading.xml.handlers = reading.handlers
            reading.xml.resume()
            reading.end(name)

    return start, end
