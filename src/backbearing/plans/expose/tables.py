"""Meter → seconds for a batch: what is taken to the tripod."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.models.actinic import colour_doubt_stops
from backbearing.models.exposure import exposure_s, step_s
from backbearing.places.lengths import FARTHEST_CAMERA_M, read_length
from backbearing.places.words import metres_text
from backbearing.plans.expose.seconds import METER_DOUBT_STOPS, setup
from backbearing.plans.expose.tablelight import read_light
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.expose.question import ExposeAnswer
    from backbearing.plans.expose.seconds import Seconds
    from backbearing.plans.expose.tablelight import TableLight
    from backbearing.records import ApertureMark, Batch

_EVS = tuple(range(16, -1, -1))
_FASTER = {True: phrase("faster"), False: phrase("slower")}
_USUAL = ("5.6", "8", "11", "16", "22", "32")


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterRow:
    """One EV at ISO 100, and the seconds at each aperture."""

    ev100: int
    iso100_f16_s: float
    seconds: tuple[Seconds | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TripodTables:
    """Seconds of a batch by meter reading and aperture."""

    batch: Batch
    lens: str
    apertures: tuple[ApertureMark, ...]
    rows: tuple[MeterRow, ...]
    scale: str  # of the lens's marks; '' where no lens is named
    light: str  # that the seconds hold for
    doubt_stops: float  # either way, before reciprocity
    filter_name: str
    bellows_stops: float
    assumptions: tuple[str, ...]


def ask_tables(
    notebook: Notebook,
    *,
    batch_name: str | None,
    lens_name: str | None = None,
    filter_name: str | None = None,
    distance: str | None = None,
    light: str | None = None,
    answer: ExposeAnswer | None = None,
) -> TripodTables:
    """`tripod_tables` as it was typed; without a light, for that of an answer of `expose`.

    Raises as `tripod_tables`, and BadInput for what is no light or length.
    """
    chosen = read_light(light) if light else None
    if chosen is None and answer is not None and not answer.meter:
        chosen = answer.light
    return tripod_tables(
        notebook,
        batch_name=batch_name,
        lens_name=lens_name,
        filter_name=filter_name,
        distance_m=read_length(distance, where="--distance", most_m=FARTHEST_CAMERA_M)
        if distance
        else None,
        light=chosen,
    )


def tripod_tables(
    notebook: Notebook,
    *,
    batch_name: str | None,
    lens_name: str | None = None,
    filter_name: str | None = None,
    distance_m: float | None = None,
    light: TableLight | None = None,
) -> TripodTables:
    """Final seconds for a batch, reciprocity in, for each EV and aperture.

    The lens's own marks where one is named. distance_m: of the subject, for the bellows of that
    lens. light: None for that of the batch's trial.
    Raises NotFound for an unknown or missing batch; BadInput for a filter without a factor, or a
    distance without a lens.
    """
    from backbearing.notebook.kit import find_lens
    from backbearing.places.apertures import f_number
    from backbearing.plans.expose.choosing import batch_to_use

    batch = batch_to_use(notebook, batch_name)
    lens = find_lens(notebook, lens_name) if lens_name else None
    marks = (lens.apertures if lens else ()) or tuple(f_number(text, None) for text in _USUAL)
    if distance_m is not None and lens is None:
        raise BadInput(
            say("a distance needs a lens"), where="--distance", remedy=say("name one with --lens")
        )
    ways = [
        setup(
            batch,
            mark.f_number,
            filter_name=filter_name,
            focal_mm=lens.focal_mm if lens else None,
            distance_m=distance_m,
        )
        for mark in marks
    ]
    way = ways[0]
    colour = 0.0 if light is None else light.colour(way)
    faster = (
        say(", {colour:.1f} stop {faster}", colour=abs(colour), faster=say(_FASTER[colour > 0]))
        if colour
        else ""
    )
    named = light.words if light is not None else say("the light of the batch's trial")
    doubt = math.hypot(METER_DOUBT_STOPS, float(colour_doubt_stops(colour)))
    return TripodTables(
        batch=batch,
        lens=lens.name if lens else "",
        apertures=marks,
        rows=tuple(
            MeterRow(
                ev100=ev,
                iso100_f16_s=step_s(exposure_s(float(ev), 16.0, 100.0)),
                seconds=tuple(way.seconds(float(ev), colour, METER_DOUBT_STOPS) for way in ways),
            )
            for ev in _EVS
        ),
        scale=lens.scale if lens else "",
        light=named,
        doubt_stops=doubt,
        filter_name=way.filter_name,
        bellows_stops=way.bellows_stops,
        assumptions=(
            say("incident readings at ISO 100; off snow, reflected, give 2 stops more"),
            say(
                "made for {named}{faster}; in light of another colour the seconds are others",
                named=named,
                faster=faster,
            ),
            say(
                "good to {doubt:.1f} stop either way: ⅓ of the meter, the rest of the colour",
                doubt=doubt,
            ),
            *(
                [say("apertures as engraved, {scale}", scale=say(lens.scale))]
                if lens and lens.scale != "f-number"
                else []
            ),
            say(
                "{filter_name} filter in, {filter_stops:.1f} stop",
                filter_name=quoted(way.filter_name),
                filter_stops=way.filter_stops,
            )
            if filter_name
            else say("no filter"),
            say(
                "bellows for {distance} in, {bellows_stops:.1f} stop",
                distance=metres_text(distance_m),
                bellows_stops=way.bellows_stops,
            )
            if distance_m is not None
            else say("no bellows: for a subject far off"),
            say("reciprocity by the batch's table")
            if batch.reciprocity_table
            else say(
                "reciprocity by p {reciprocity_p:g} over 1 s", reciprocity_p=batch.reciprocity_p
            )
            if batch.reciprocity_p is not None
            else say("no reciprocity on record for this batch: long times are too short"),
        ),
    )
