"""One clue as it is typed, read into a clue as it is kept."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.models.sun import sun_position
from backbearing.places.bearings import read_bearing, short_bearing
from backbearing.places.clocks import read_clock, read_day, split_day_and_clock
from backbearing.places.geodesy import inverse
from backbearing.places.lengths import read_angle, read_duration_s, read_length
from backbearing.places.words import degrees_text, metres_text
from backbearing.places.zones import zone as named_zone
from backbearing.plans.locate import locate
from backbearing.plans.periods import today_there
from backbearing.plans.search.fits import FACING_ERROR_DEG
from backbearing.plans.search.sought import refuse_sought
from backbearing.plans.settings import zone_at
from backbearing.records import MemoryClue

if TYPE_CHECKING:
    from collections.abc import Callable

    from backbearing.notebook import Notebook
    from backbearing.plans.search.downstream import LineWay
    from backbearing.records import ClueKind, GroundLine, Place, Subject

MOST_AWAY_M = 100_000.0  # of a place that tells where a subject is
MOST_SURE = 0.99  # no memory is taken as certain: a false one must not empty the map


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedClue:
    """A clue as options of the command line; None for those not typed."""

    near: str | None = None
    within: str | None = None
    side: str | None = None
    up: str | None = None
    down: str | None = None
    of: str | None = None
    walk: str | None = None
    start: str | None = None
    between: tuple[str, str] | None = None
    inside: str | None = None
    bearing: str | None = None
    seen_from: str | None = None
    hidden_from: str | None = None
    slope: str | None = None
    facing: str | None = None
    height: str | None = None
    lit: str | None = None
    shade: str | None = None


def read_share(text: str, *, where: str) -> float:
    """A chance: '80 %', '80' and '0.8' are the same. Raises BadInput outside 0 … 100 %, and for
    a bare 1, which may be all or a hundredth."""
    figure, sign, after = text.strip().partition("%")
    try:
        value = float(figure)
        if after.strip():
            raise ValueError
    except ValueError:
        raise BadInput(f"{quoted(text)} is no chance", where=where, remedy="write 80%") from None
    if value == 1.0 and not sign:
        raise BadInput(
            "1 may be 1 % or certain", where=where, remedy=f"write 1%, or {MOST_SURE:.0%} at most"
        )
    if sign or value > 1.0:
        value /= 100.0
    if not 0.0 < value <= 1.0:
        raise BadInput(f"{quoted(text)} is not between 0 and 100 %", where=where, remedy="as 80%")
    return value


def read_clue(
    notebook: Notebook, subject: Subject, typed: TypedClue, now: datetime
) -> tuple[MemoryClue, tuple[str, ...]]:
    """The clue that was typed, its sureness to come, and what is to be said of how it was read.

    Raises BadInput naming the option, also for none or two in one, and NotFound for what is named
    and not on record.
    """
    reading = _Reading(notebook, subject, typed, now)
    return reading.clue(), tuple(reading.says)


class _Reading:
    """One typed clue, read with what is on record."""

    def __init__(
        self, notebook: Notebook, subject: Subject, typed: TypedClue, now: datetime
    ) -> None:
        self.notebook, self.subject, self.typed = notebook, subject, typed
        self.now, self.today = now, today_there(notebook, now)
        self.says: list[str] = []

    def clue(self) -> MemoryClue:
        t = self.typed
        told = {
            "near": t.near,
            "side": t.side,
            "up": t.up,
            "down": t.down,
            "walk": t.walk,
            "between": t.between,
            "inside": t.inside,
            "bearing": t.bearing,
            "seen-from": t.seen_from,
            "hidden-from": t.hidden_from,
            "slope": t.slope,
            "facing": t.facing,
            "height": t.height,
            "lit": t.lit,
            "shade": t.shade,
        }
        given = [name for name, value in told.items() if value is not None]
        if len(given) != 1:
            raise BadInput(
                "one fact makes a clue" if given else "no fact was given",
                where="--" + given[1] if given else "clue",
                remedy="give one of --" + ", --".join(told),
            )
        readers: dict[str, Callable[[], MemoryClue]] = {
            "near": self._near,
            "side": self._side,
            "up": lambda: self._up_or_down("up", t.up or ""),
            "down": lambda: self._up_or_down("down", t.down or ""),
            "walk": self._walk,
            "between": self._between,
            "inside": self._inside,
            "bearing": self._bearing,
            "seen-from": self._seen_from,
            "hidden-from": self._hidden_from,
            "slope": self._slope,
            "facing": self._facing,
            "height": self._height,
            "lit": lambda: self._light("lit", t.lit or ""),
            "shade": lambda: self._light("in shade", t.shade or ""),
        }
        return readers[given[0]]()

    def _line(self, name: str | None, where: str) -> str:
        return self._lines(name, where)[0]

    def _lines(self, name: str | None, where: str) -> tuple[str, list[GroundLine]]:
        from backbearing.plans.search.ground import lines_called

        if not name:
            raise BadInput("a line is missing", where=where, remedy="name it with --of")
        try:
            lines, _ = lines_called(self.notebook, name, self.subject.place)
        except NotFound as error:
            raise NotFound(error.what, where=where, remedy=error.remedy) from None
        return " ".join(name.split()), lines

    def _line_followed(self) -> tuple[str, str, LineWay]:
        """The line --of as it is kept, as it is said, and which way it is followed."""
        from backbearing.plans.search.downstream import followed, way_said

        typed, lines = self._lines(self.typed.of, "--of")
        line, way = followed(self.notebook, lines[0], besides=self.subject.id)
        self.says.append(way_said(line, way))
        name = line.name or line.kind
        return typed, typed if name.casefold() == typed.casefold() else f"{typed} ({name})", way

    def _place(self, text: str, where: str) -> tuple[str, Place]:
        try:
            found = locate(self.notebook, text)
        except (BadInput, NotFound) as error:
            raise type(error)(error.what, where=where, remedy=error.remedy) from None
        refuse_sought(found, self.subject, where)
        sought = self.subject.place
        _, away_m = inverse(
            sought.latitude_deg,
            sought.longitude_deg,
            found.place.latitude_deg,
            found.place.longitude_deg,
        )
        if away_m > MOST_AWAY_M + sought.error_m:
            raise BadInput(
                f"{quoted(found.name)} is {away_m / 1000:.0f} km from where it was put down",
                where=where,
                remedy=f"name a place within {MOST_AWAY_M / 1000:.0f} km",
            )
        return found.name, found.place

    def _within(self, *, needed: bool) -> float | None:
        if self.typed.within is None:
            if needed:
                raise BadInput("how near?", where="--within", remedy="as --within 300m")
            return None
        within_m = read_length(self.typed.within, where="--within")
        if not within_m > 0.0:
            raise BadInput("it must be above 0 m", where="--within", remedy="as --within 300m")
        return within_m

    def _made(self, kind: ClueKind, words: str, **fields: object) -> MemoryClue:
        return MemoryClue(kind=kind, words=words, sure=1.0, **fields)  # type: ignore[arg-type]

    def _near(self) -> MemoryClue:
        text, within = self.typed.near or "", self._within(needed=True)
        try:
            line = self._line(text, "--near")
        except NotFound:
            name, place = self._place(text, "--near")
            return self._made(
                "near a place",
                f"within {metres_text(within or 0)} of {name}",
                place=place,
                high=within,
            )
        return self._made(
            "near a line", f"within {metres_text(within or 0)} of {line}", line=line, high=within
        )

    def _side(self) -> MemoryClue:
        line, said, way = self._line_followed()
        side = self.typed.side or ""
        words = f"{side} of {said}, {way.words}"
        return self._made("side of a line", words, line=line, side=side, other=way.to)

    def _up_or_down(self, side: str, text: str) -> MemoryClue:
        (line, said, way), within = self._line_followed(), self._within(needed=False)
        name, place = self._place(text, f"--{side}")
        how = "" if within is None else f", no more than {metres_text(within)}"
        drawn = "" if way.runs == "downstream" else f", {way.words}"
        return self._made(
            "along a line",
            f"{side} {said} from {name}{how}{drawn}",
            line=line,
            side=side,
            place=place,
            other=way.to,
            high=within,
        )

    def _walk(self) -> MemoryClue:
        if self.typed.start is None:
            raise BadInput("from where?", where="--from", remedy="as --walk 20min --from PLACE")
        name, place = self._place(self.typed.start, "--from")
        first, dash, last = (self.typed.walk or "").partition("-")
        if first.strip().replace(".", "", 1).isdecimal() and last.strip().endswith("min"):
            first += " min"  # '10-25 min'
        high = read_duration_s(last if dash else first, where="--walk") / 60.0
        low = read_duration_s(first, where="--walk") / 60.0 if dash else None
        if high <= (low or 0.0):
            raise BadInput("no such span", where="--walk", remedy="as 10min-25min")
        span = f"{low:.0f} to {high:.0f}" if low is not None else f"no more than {high:.0f}"
        words = f"{span} min on foot from {name}"
        return self._made("walk from a place", words, place=place, low=low, high=high)

    def _between(self) -> MemoryClue:
        line = self._line(self.typed.of, "--of")
        assert self.typed.between is not None  # noqa: S101 - it was given
        (one, place), (two, other) = (self._place(each, "--between") for each in self.typed.between)
        if (place.latitude_deg, place.longitude_deg) == (other.latitude_deg, other.longitude_deg):
            raise BadInput("both places are one", where="--between", remedy="name two")
        words = f"on {line} between {one} and {two}"
        return self._made("between places", words, line=line, place=place, other=other)

    def _inside(self) -> MemoryClue:
        texts = [text.strip() for text in (self.typed.inside or "").split(";") if text.strip()]
        if len(texts) < 3:
            raise BadInput(
                "an area has three corners or more",
                where="--inside",
                remedy="name them in order, as --inside 'arch; pump wheel; 47.0031 N 20.9990 W'",
            )
        corners = [self._place(text, "--inside") for text in texts]
        spots = {(place.latitude_deg, place.longitude_deg) for _, place in corners}
        if len(spots) < 3:
            raise BadInput(
                "these corners hold no ground", where="--inside", remedy="name three apart or more"
            )
        names = ", ".join(name for name, _ in corners)
        return self._made(
            "inside an area", f"inside {names}", corners=tuple(place for _, place in corners)
        )

    def _bearing(self) -> MemoryClue:
        if self.typed.start is None:
            raise BadInput("taken where?", where="--from", remedy="as --bearing 215M --from PLACE")
        name, place = self._place(self.typed.start, "--from")
        bearing = read_bearing(
            self.typed.bearing or "",
            latitude_deg=place.latitude_deg,
            longitude_deg=place.longitude_deg,
            height_m=place.height_m,
            on=self.today,
            instrument=None,
            where="--bearing",
        )
        words = f"on a bearing of {degrees_text(bearing.true_deg)} true ± {bearing.error_deg:g}°"
        return self._made(
            "on a bearing",
            f"{words} from {name}",
            place=place,
            low=bearing.true_deg,
            error=bearing.error_deg,
        )

    def _seen_from(self) -> MemoryClue:
        name, place = self._place(self.typed.seen_from or "", "--seen-from")
        return self._made("seen from a place", f"seen from {name}", place=place)

    def _hidden_from(self) -> MemoryClue:
        line = self._line(self.typed.hidden_from, "--hidden-from")
        return self._made("hidden from a line", f"out of sight of {line}", line=line)

    def _range(self, text: str, where: str, *, lengths: bool) -> tuple[float | None, float | None]:
        first, dash, last = text.partition("-")

        def one(part: str) -> float:
            if lengths:
                return read_length(part, where=where)
            return read_angle(part, where=where, low_deg=0.0, high_deg=90.0)

        low = one(first) if first.strip() else None
        high = one(last) if last.strip() else None
        if (
            not dash
            or (low is None and high is None)
            or (low is not None and high is not None and high <= low)
        ):
            raise BadInput(f"{quoted(text)} is no range", where=where, remedy="as 10-30")
        return low, high

    def _slope(self) -> MemoryClue:
        low, high = self._range(self.typed.slope or "", "--slope", lengths=False)
        words = f"on a slope of {low or 0:g}° to {90 if high is None else high:g}°"
        return self._made("slope", words, low=low, high=high)

    def _height(self) -> MemoryClue:
        low, high = self._range(self.typed.height or "", "--height", lengths=True)
        if low is None or high is None:
            words = f"under {high:.0f} m" if low is None else f"over {low:.0f} m"
        else:
            words = f"from {low:.0f} to {high:.0f} m"
        return self._made("height", f"at a height {words}", low=low, high=high)

    def _facing(self) -> MemoryClue:
        place = self.subject.place
        facing = read_bearing(
            self.typed.facing or "",
            latitude_deg=place.latitude_deg,
            longitude_deg=place.longitude_deg,
            height_m=place.height_m,
            on=self.today,
            where="--facing",
        )
        point = short_bearing(facing.as_written)
        said = point if point.isalpha() else f"{degrees_text(facing.true_deg)} true"
        words = f"on a slope that faces {said} ± {FACING_ERROR_DEG:g}°"
        return self._made("facing", words, low=facing.true_deg, error=FACING_ERROR_DEG)

    def _light(self, kind: ClueKind, text: str) -> MemoryClue:
        where = "--lit" if kind == "lit" else "--shade"
        zone = zone_at(self.notebook, self.subject.place)
        split = split_day_and_clock(text, where=where)
        if split is None:
            raise BadInput(
                f"{quoted(text)} is no day and clock", where=where, remedy="write 2025-05-17 12:20"
            )
        day = read_day(split.day, latest=self.today, where=where)
        clock = read_clock(split.clock, where=where)
        at = datetime.combine(day, clock, tzinfo=split.zone or named_zone(zone))
        place = self.subject.place
        instant = np.datetime64(at.astimezone(UTC).replace(tzinfo=None), "ms")
        up = sun_position(instant, place.latitude_deg, place.longitude_deg).altitude_deg
        if at > self.now:
            raise BadInput(
                f"{day} at {clock:%H:%M} is still to come",
                where=where,
                remedy="give a time at which it was seen",
            )
        if float(up) < 0.0:
            raise BadInput(
                f"the sun was down there on {day} at {clock:%H:%M}",
                where=where,
                remedy="give the day and the clock there",
            )
        return self._made(kind, f"{kind} on {day} at {clock:%H:%M}", at=at)
