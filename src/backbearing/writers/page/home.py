"""Which ground the first map shows: that round the subject of the answer, where all is too much."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.writers.page.plane import away_m

if TYPE_CHECKING:
    from backbearing.plans.page import ReturnPage, ReturnSubject
    from backbearing.writers.page.plane import Spot

HOME_M = 20_000.0  # a day on foot, there and back


def every_spot(page: ReturnPage) -> list[Spot]:
    """All that is drawn of a page, as places."""
    places = [
        place
        for each in page.subjects
        for place in (each.subject.place, *(camera.place for camera in each.cameras))
    ]
    places += [note.place for note in page.loose_notes if note.place is not None]
    spots = [(place.latitude_deg, place.longitude_deg) for place in places]
    spots += [spot for each in page.tracks for line in each.lines for spot in line]
    spots += [(point.latitude_deg, point.longitude_deg) for point in page.waypoints]
    spots += [(p.latitude_deg, p.longitude_deg) for route in page.routes for p in route.points]
    return spots


def home_subject(page: ReturnPage) -> ReturnSubject | None:
    """The subject whose surroundings come first: that of the answer, else the first."""
    return page.next_lit or (page.subjects[0] if page.subjects else None)


def home_spots(page: ReturnPage) -> list[Spot]:
    """What lies within 20 km of it; [] where that is everything, and one map will do."""
    centre = home_subject(page)
    if centre is None:
        return []
    at = (centre.subject.place.latitude_deg, centre.subject.place.longitude_deg)
    spots = every_spot(page)
    near = [spot for spot in spots if away_m(spot, at) <= HOME_M]
    return near if len(near) < len(spots) else []
