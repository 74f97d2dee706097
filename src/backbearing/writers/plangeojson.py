"""An outing's legs as GeoJSON (RFC 7946): lines with their times and deadlines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.writers.plain import json_text, plain

if TYPE_CHECKING:
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.taking import RouteRow


def plan_geojson(outing: OutingAnswer, route: tuple[RouteRow, ...]) -> str:
    """A FeatureCollection in WGS 84, longitude first: a line for each leg.

    The same for the same plan. A leg over the antimeridian is cut there into two lines (RFC 7946,
    section 3.1.9).
    """
    lines = [*(one.leg.line for one in outing.out), *(one.leg.line for one in outing.back)]
    features = [
        {
            "type": "Feature",
            "geometry": _geometry(line),
            "properties": {
                "kind": "leg out" if row.out else "leg back",
                "subject": outing.subject,
                "day": outing.day,
                "number": row.number,
                "to": row.to,
                "how": row.how,
                "rough": row.rough,
                "length_m": round(row.length_m, 1),
                "usual_s": round(row.usual_s),
                "slow_s": round(row.slow_s),
                "pass_by": row.pass_by,
                "turn_back": row.turn_back,
                "usable_light_until": row.usable_until,
            },
        }
        for row, line in zip(route, lines, strict=True)
    ]
    return json_text(plain({"type": "FeatureCollection", "features": features})) + "\n"


def _geometry(line: tuple[tuple[float, float], ...]) -> dict[str, Any]:
    parts: list[list[list[float]]] = [[]]
    for latitude, longitude in line:
        here = [round(longitude, 7), round(latitude, 7)]
        if parts[-1] and abs(here[0] - parts[-1][-1][0]) > 180.0:
            before = parts[-1][-1]
            edge = 180.0 if before[0] > 0.0 else -180.0
            span = here[0] + 2.0 * edge - before[0]
            share = (edge - before[0]) / span
            across = round(before[1] + share * (here[1] - before[1]), 7)
            parts[-1].append([edge, across])
            parts.append([[-edge, across]])
        parts[-1].append(here)
    whole = [part if len(part) > 1 else part * 2 for part in parts if part]
    if len(whole) == 1:
        return {"type": "LineString", "coordinates": whole[0]}
    return {"type": "MultiLineString", "coordinates": whole}
