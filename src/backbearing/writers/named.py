"""The names that stand in a page's or a sheet's sentences, as their owner wrote them."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.page import ReturnPage


def page_names(page: ReturnPage) -> Iterator[str]:
    """Of subjects, camera positions, walks, routes, passages and the kit on a return page."""
    for each in page.subjects:
        yield each.subject.name
        yield from (camera.name for camera in each.cameras)
    yield from (one.name for one in page.waypoints)
    yield from (one.name for one in page.routes)
    yield from (one.name for one in page.passages)
    yield from (one.name for one in page.lines)
    yield from (one.track.name for one in page.tracks)
    if page.tripod is not None:
        yield page.tripod.lens
        if page.tripod.batch is not None:
            yield page.tripod.batch.name
    if page.outing is not None:
        yield from outing_names(page.outing)


def outing_names(outing: OutingAnswer) -> Iterator[str]:
    """Of all an outing goes to, passes or takes along."""
    yield from (outing.subject, outing.camera_position, outing.start_name, outing.batch)
    yield from (one.leg.end_name for one in outing.out)
    yield from (one.leg.end_name for one in outing.back)
    yield from (one.subject for one in outing.near)
