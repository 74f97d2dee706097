"""GPX written by hand for the tests: invented creators, invented ground near 47° N 21° W."""

from __future__ import annotations

GPX_1_1 = "http://www.topografix.com/GPX/1/1"
GPX_1_0 = "http://www.topografix.com/GPX/1/0"

GOOD_FIX = (
    '<trkpt lat="47.01" lon="-21.02"><ele>118.5</ele><time>2026-03-14T14:32:00Z</time></trkpt>'
)


def gpx(*inside: str, namespace: str = GPX_1_1, head: str = "", version: str = "1.1") -> bytes:
    """A document with these elements in its root."""
    xmlns = f' xmlns="{namespace}"' if namespace else ""
    text = f'{head}<gpx version="{version}" creator="slate ledger"{xmlns}>{"".join(inside)}</gpx>'
    return text.encode()


def track(*fixes: str, name: str = "up the incline") -> str:
    return f"<trk><name>{name}</name><trkseg>{''.join(fixes)}</trkseg></trk>"


def fix(latitude: object = 47.01, longitude: object = -21.02, inside: str = "") -> str:
    return f'<trkpt lat="{latitude}" lon="{longitude}">{inside}</trkpt>\n'
