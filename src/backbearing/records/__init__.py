"""The nouns: frozen records with units in their names, and nothing that computes.

Angles are degrees; azimuths and bearings clockwise from true north; altitude is above the
horizontal, height is metres above sea level (or of a thing above its foot, `tall_m`).
Single instants are aware datetimes in UTC; arrays of instants are `datetime64[ms]` in UTC.
Missing heights are nan and missing times NaT in arrays, None in single values.
Latitude and longitude are WGS 84. `error_m` is the radius that holds the true place 95 times
in a hundred. numpy is named for types only, so a command that needs no arrays never loads it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backbearing.records.light import LightWindow, Skyline
from backbearing.records.places import POSITION_ERROR_M, Bearing, Place, SkyOpenness
from backbearing.records.subjects import (
    SUBJECT_STATES,
    CameraPosition,
    Deleted,
    Finding,
    Note,
    OtherSky,
    Sighting,
    Subject,
    SubjectState,
    WantedLight,
)
from backbearing.records.surroundings import EdgeReading, ReadingEffect, Trees
from backbearing.records.terrain import Grid, GroundKind, TerrainLayer

if TYPE_CHECKING:
    from backbearing.records.arrays import Floats as Floats
    from backbearing.records.arrays import Times as Times
    from backbearing.records.kit import (
        APERTURE_SCALES,
        EMULSION_CLASSES,
        PLATE_STATES,
        ApertureMark,
        ApertureScale,
        Batch,
        Camera,
        Development,
        EmulsionClass,
        FocusMark,
        Highlights,
        Holder,
        Kit,
        Lens,
        Plate,
        PlateState,
        Shadows,
        Shutter,
        ShutterSpeed,
        TrialLight,
    )
    from backbearing.records.lines import (
        LINE_KINDS,
        WATER_KINDS,
        GroundLine,
        LineKind,
        LinesFile,
    )
    from backbearing.records.outing import (
        Approach,
        Footing,
        Leg,
        OtherPassage,
        PassageOffer,
        PassageUse,
    )
    from backbearing.records.passage import (
        PASSAGE_CAUSES,
        PASSAGE_KINDS,
        PASSAGE_STATES,
        Passage,
        PassageCause,
        PassageKind,
        PassageReport,
        PassageState,
    )
    from backbearing.records.photos import (
        PHOTO_PLACINGS,
        PHOTO_THUMBNAIL_BYTES,
        Photo,
        PhotoFile,
        PhotoPlacing,
    )
    from backbearing.records.search import (
        CLUE_KINDS,
        FARTHEST_LOOK_M,
        GROUND_CLASSES,
        TERRAIN_CLUES,
        ClueKind,
        GroundClass,
        Look,
        LookLaw,
        LookSide,
        MemoryClue,
        SightRange,
    )
    from backbearing.records.tracks import (
        MEDIA,
        Fault,
        GpxFile,
        Media,
        Original,
        Route,
        Segment,
        Stop,
        StoredTrack,
        Track,
        WalkSummary,
        Waypoint,
    )

Json = dict[str, Any]

# Rooms that few commands enter, loaded when one of their names is asked for: to make all the
# classes takes a fifth of the time that numpy takes to load.
_LATER = {
    "kit": (
        "APERTURE_SCALES",
        "EMULSION_CLASSES",
        "PLATE_STATES",
        "ApertureMark",
        "ApertureScale",
        "Batch",
        "Camera",
        "Development",
        "EmulsionClass",
        "FocusMark",
        "Highlights",
        "Holder",
        "Kit",
        "Lens",
        "Plate",
        "PlateState",
        "Shadows",
        "Shutter",
        "ShutterSpeed",
        "TrialLight",
    ),
    "lines": (
        "LINE_KINDS",
        "WATER_KINDS",
        "GroundLine",
        "LineKind",
        "LinesFile",
    ),
    "outing": (
        "Approach",
        "Footing",
        "Leg",
        "OtherPassage",
        "PassageOffer",
        "PassageUse",
    ),
    "passage": (
        "PASSAGE_CAUSES",
        "PASSAGE_KINDS",
        "PASSAGE_STATES",
        "Passage",
        "PassageCause",
        "PassageKind",
        "PassageReport",
        "PassageState",
    ),
    "photos": (
        "PHOTO_PLACINGS",
        "PHOTO_THUMBNAIL_BYTES",
        "Photo",
        "PhotoFile",
        "PhotoPlacing",
    ),
    "search": (
        "CLUE_KINDS",
        "FARTHEST_LOOK_M",
        "GROUND_CLASSES",
        "TERRAIN_CLUES",
        "ClueKind",
        "GroundClass",
        "Look",
        "LookLaw",
        "LookSide",
        "MemoryClue",
        "SightRange",
    ),
    "tracks": (
        "MEDIA",
        "Fault",
        "GpxFile",
        "Media",
        "Original",
        "Route",
        "Segment",
        "Stop",
        "StoredTrack",
        "Track",
        "WalkSummary",
        "Waypoint",
    ),
}
_ROOM_OF = {name: room for room, names in _LATER.items() for name in names}


def __getattr__(name: str) -> Any:
    if name not in _ROOM_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    found = getattr(import_module(f"{__name__}.{_ROOM_OF[name]}"), name)
    globals()[name] = found
    return found


__all__ = [
    "APERTURE_SCALES",
    "CLUE_KINDS",
    "EMULSION_CLASSES",
    "FARTHEST_LOOK_M",
    "GROUND_CLASSES",
    "LINE_KINDS",
    "MEDIA",
    "PASSAGE_CAUSES",
    "PASSAGE_KINDS",
    "PASSAGE_STATES",
    "PHOTO_PLACINGS",
    "PHOTO_THUMBNAIL_BYTES",
    "PLATE_STATES",
    "POSITION_ERROR_M",
    "SUBJECT_STATES",
    "TERRAIN_CLUES",
    "WATER_KINDS",
    "ApertureMark",
    "ApertureScale",
    "Approach",
    "Batch",
    "Bearing",
    "Camera",
    "CameraPosition",
    "ClueKind",
    "Deleted",
    "Development",
    "EdgeReading",
    "EmulsionClass",
    "Fault",
    "Finding",
    "FocusMark",
    "Footing",
    "GpxFile",
    "Grid",
    "GroundClass",
    "GroundKind",
    "GroundLine",
    "Highlights",
    "Holder",
    "Json",
    "Kit",
    "Leg",
    "Lens",
    "LightWindow",
    "LineKind",
    "LinesFile",
    "Look",
    "LookLaw",
    "LookSide",
    "Media",
    "MemoryClue",
    "Note",
    "Original",
    "OtherPassage",
    "OtherSky",
    "Passage",
    "PassageCause",
    "PassageKind",
    "PassageOffer",
    "PassageReport",
    "PassageState",
    "PassageUse",
    "Photo",
    "PhotoFile",
    "PhotoPlacing",
    "Place",
    "Plate",
    "PlateState",
    "ReadingEffect",
    "Route",
    "Segment",
    "Shadows",
    "Shutter",
    "ShutterSpeed",
    "SightRange",
    "Sighting",
    "SkyOpenness",
    "Skyline",
    "Stop",
    "StoredTrack",
    "Subject",
    "SubjectState",
    "TerrainLayer",
    "Track",
    "Trees",
    "TrialLight",
    "WalkSummary",
    "WantedLight",
    "Waypoint",
]
