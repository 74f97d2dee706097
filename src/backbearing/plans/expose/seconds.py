"""From EV to seconds for one batch: colour against the trial, filter, bellows, reciprocity last.

A trial's speed holds in the trial's light and time: what colour and reciprocity did there is in
it already, and only the difference from there is counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.models.actinic import colour_doubt_stops, colour_stops, trial_colour_stops
from backbearing.models.exposure import LONGEST_S, bellows_stops, exposure_s, step_s
from backbearing.models.reciprocity import check_table, metered_s, needed_s, past_table
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Mapping

    from backbearing.records import Batch

# factors on panchromatic plates in daylight; common practice
PAN_FACTORS: Mapping[str, float] = {"yellow": 2.0, "orange": 3.5, "red": 8.0, "green": 4.0}

METER_DOUBT_STOPS = 1.0 / 3.0  # of a reading in the hand; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Seconds:
    """An exposure with its range, each in the steps that are set or counted."""

    exact_s: float  # for further sums and curves, not for showing, as least and most
    least_s: float
    most_s: float
    shown_s: float
    low_s: float
    high_s: float
    past_table: bool  # reciprocity carried on past the last point known


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """What is set on the camera, and the stops it costs."""

    batch: Batch
    f_number: float
    filter_name: str = ""
    filter_stops: float = 0.0
    bellows_stops: float = 0.0
    tested_stops: float = 0.0  # of colour, in the light of the trial
    tested_share: float = 1.0  # of the time needed there, without reciprocity

    def colour(self, sun_altitude_deg: float, direct_share: float, sky: str) -> float:
        """Stops by which the plate is faster here than in the light of its trial."""
        now = colour_stops(self.batch.emulsion, sun_altitude_deg, direct_share, sky=sky)
        return now - self.tested_stops

    def needed(self, ev100: float, colour: float) -> float:
        """Seconds for a steady light, reciprocity in."""
        return self._with_reciprocity(self.metered(ev100, colour))

    def metered(self, ev100: float, colour: float) -> float:
        """Seconds before reciprocity."""
        stops = self.filter_stops + self.bellows_stops - colour
        plain_s = exposure_s(ev100, self.f_number, self.batch.speed_iso, stops=stops)
        return plain_s * self.tested_share

    def _with_reciprocity(self, metered: float) -> float:
        return needed_s(metered, p=self.batch.reciprocity_p, table=self.batch.reciprocity_table)

    def seconds(
        self,
        ev100: float,
        colour: float,
        doubt_stops: float,
        *,
        longer: float = 1.0,
        darker_stops: float = 0.0,
        brighter_stops: float = 0.0,
    ) -> Seconds | None:
        """The exposure with its range, None if dark or over a day.

        longer: so many times, in changing light. darker_stops, brighter_stops: how much less or
        more light there is where the sun is off or on, if that is not known; doubt comes on top.
        """
        if not math.isfinite(ev100) or not math.isfinite(longer):
            return None
        metered = self.metered(ev100, colour)
        doubt = math.hypot(doubt_stops, float(colour_doubt_stops(colour)))
        least, most = -doubt - brighter_stops, doubt + darker_stops
        low, exact, high = (
            self._with_reciprocity(metered * 2.0**stops) * longer for stops in (least, 0.0, most)
        )
        if exact > LONGEST_S:
            return None
        return Seconds(
            exact_s=exact,
            least_s=low,
            most_s=high,
            shown_s=step_s(exact),
            low_s=step_s(low),
            high_s=step_s(high),
            past_table=past_table(metered * 2.0**most, self.batch.reciprocity_table),
        )


def setup(
    batch: Batch,
    f_number: float,
    *,
    filter_name: str | None = None,
    focal_mm: float | None = None,
    distance_m: float | None = None,
) -> Setup:
    """Put together what is set. Raises BadInput for a filter, table, speed that will not do."""
    exposure_s(0.0, f_number, batch.speed_iso)  # refuses what is not above 0
    table = batch.reciprocity_table
    if table:
        check_table(table, where=f"reciprocity table of {quoted(batch.name)}")
    trial = batch.tested_in
    share = 1.0
    if trial is not None and trial.exposure_s is not None:
        share = metered_s(trial.exposure_s, p=batch.reciprocity_p, table=table) / trial.exposure_s
    racked = 0.0
    if focal_mm is not None and distance_m is not None:
        racked = bellows_stops(focal_mm, distance_m)
    return Setup(
        batch=batch,
        f_number=f_number,
        filter_name=filter_name or "",
        filter_stops=_filter_stops(batch, filter_name) if filter_name else 0.0,
        bellows_stops=racked,
        tested_stops=trial_colour_stops(
            batch.emulsion,
            trial.sun_altitude_deg if trial else None,
            shade=trial.shade if trial else False,
        ),
        tested_share=share,
    )


def _filter_stops(batch: Batch, name: str) -> float:
    own = {key.casefold(): factor for key, factor in batch.filters.items()}
    factor = own.get(name.casefold())
    if factor is None and batch.emulsion == "pan":
        factor = PAN_FACTORS.get(name.casefold())
    if factor is None:
        blue = batch.emulsion != "pan" and name.casefold() in PAN_FACTORS
        why = (
            say(
                "the panchromatic factor of a {name} filter does not hold for the "
                "{emulsion} plates of {batch}",
                name=quoted(name),
                emulsion=say(batch.emulsion),
                batch=quoted(batch.name),
            )
            if blue
            else say(
                "no factor of a {name} filter is on record for {batch}",
                name=quoted(name),
                batch=quoted(batch.name),
            )
        )
        raise BadInput(
            why,
            where="--filter",
            remedy=say("test it and put the factor under the batch's filters"),
        )
    if not 1.0 <= factor < math.inf:
        raise BadInput(
            say("a filter factor of {factor:g} is below 1", factor=factor), where="--filter"
        )
    return math.log2(factor)
