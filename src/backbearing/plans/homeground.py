"""Which ground a page shows first: that round the subject of the answer, where all is too much."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.plans.searchlines import walk_lines

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.page import ReturnPage, ReturnSubject

HOME_M = 20_000.0  # a day on foot, there and back
Spot = tuple[float, float]  # latitude, longitude in degrees


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
    spots += [spot for walk in page.search_walks for line in walk_lines(walk) for spot in line]
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
    near = spots_within(spots, at, HOME_M)
    return near if len(near) < len(spots) else []


def spots_within(spots: Sequence[Spot], at: Spot, away_m: float) -> list[Spot]:
    """Those no farther from a place than `away_m`."""
    if not spots:
        return []
    import numpy as np

    from backbearing.places.geodesy import inverse

    latitude, longitude = np.array(spots).T
    _, distance_m = inverse(
        np.full(latitude.shape, at[0]), np.full(longitude.shape, at[1]), latitude, longitude
    )
    return [spots[index] for index in np.flatnonzero(distance_m <= away_m).tolist()]
