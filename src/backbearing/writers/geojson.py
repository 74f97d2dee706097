"""Subjects and camera positions as GeoJSON (RFC 7946), for a desktop GIS or a web map."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.writers.plain import json_text, plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.exporting import Export
    from backbearing.records import CameraPosition, Place, Subject


def geojson_text(export: Export) -> str:
    """A FeatureCollection in WGS 84, longitude first, the same for the same records.

    One point a subject (`kind` subject) and one a place to stand for it (`kind` camera
    position), positions to 7 decimals (1 cm). Heights are left among the properties: ours
    count from the sea, RFC 7946 (section 3.1.1) has them count from the ellipsoid.
    """
    import geopandas

    rows = [row for one in export.subjects for row in _rows(one.subject, one.camera_positions)]
    table = geopandas.GeoDataFrame(
        [row for row, _ in rows],
        geometry=geopandas.points_from_xy(
            [round(place.longitude_deg, 7) for _, place in rows],
            [round(place.latitude_deg, 7) for _, place in rows],
        ),
        crs="EPSG:4326",
        dtype=object,
    )
    collection: dict[str, Any] = table.to_geo_dict(drop_id=True, show_bbox=False)
    collection.pop("crs", None)  # RFC 7946, section 4: no crs member
    return json_text(plain(collection)) + "\n"


def _rows(
    subject: Subject, cameras: tuple[CameraPosition, ...]
) -> Iterator[tuple[dict[str, Any], Place]]:
    yield (
        {
            "kind": "subject",
            "name": subject.name,
            "subject": subject.name,
            "state": subject.state,
            "words": subject.words,
            "blocked": subject.blocked,
            "next_time": subject.next_time,
            "tall_m": subject.tall_m,
            "wide_m": subject.wide_m,
            "facing_deg": subject.facing_deg,
            "bearing_true_deg": None,
            "bearing_error_deg": None,
            "distance_m": None,
            **_position(subject.place),
        },
        subject.place,
    )
    for camera in cameras:
        yield (
            {
                "kind": "camera position",
                "name": camera.name,
                "subject": subject.name,
                "state": None,
                "words": None,
                "blocked": None,
                "next_time": None,
                "tall_m": None,
                "wide_m": None,
                "facing_deg": None,
                "bearing_true_deg": camera.bearing.true_deg if camera.bearing else None,
                "bearing_error_deg": camera.bearing.error_deg if camera.bearing else None,
                "distance_m": camera.distance_m,
                **_position(camera.place),
            },
            camera.place,
        )


def _position(place: Place) -> dict[str, Any]:
    return {
        "height_above_sea_m": place.height_m,
        "error_m": place.error_m,
        "error_basis": place.error_basis,
    }
