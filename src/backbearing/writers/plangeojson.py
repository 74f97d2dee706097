"""An outing's legs as GeoJSON (RFC 7946): lines with their times and deadlines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.plans.outing.answer import OutLeg, exposure_lost, too_far
from backbearing.writers.outingwords import does_not_work_text
from backbearing.writers.plain import json_text, plain

if TYPE_CHECKING:
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.outing.answer import BackLeg
    from backbearing.plans.taking import RouteRow


def plan_geojson(outing: OutingAnswer, route: tuple[RouteRow, ...]) -> str:
    """A FeatureCollection in WGS 84, longitude first: a line for each leg.

    The same for the same plan. A leg over the antimeridian is cut there into two lines (RFC 7946,
    section 3.1.9). Of a day that does not work `works` is false, with the sentence why beside it,
    and a deadline that is over before one is there by plan is null and named in `too_late`.
    """
    legs: list[OutLeg | BackLeg] = [*outing.out, *outing.back]
    features = [
        {
            "type": "Feature",
            "geometry": _geometry(one.leg.line),
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
                "works": outing.works,
                **_deadlines(outing, row, one),
                "usable_light_until": row.usable_until,
            },
        }
        for row, one in zip(route, legs, strict=True)
    ]
    tree = {
        "type": "FeatureCollection",
        "works": outing.works,
        "why_not": does_not_work_text(outing),
        "features": features,
    }
    return json_text(plain(tree)) + "\n"


def _deadlines(outing: OutingAnswer, row: RouteRow, leg: OutLeg | BackLeg) -> dict[str, Any]:
    late = []
    if isinstance(leg, OutLeg):
        late += ["pass_by"] if exposure_lost(outing, leg) else []
        late += ["turn_back"] if too_far(leg) else []
    latest = {"pass_by": row.pass_by, "turn_back": row.turn_back}
    return {**latest, **dict.fromkeys(late), "too_late": late}


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
