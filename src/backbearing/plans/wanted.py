"""The wanted light in the user's words, both ways: options into a wish, a wish into clauses."""

from __future__ import annotations

import dataclasses
import re
from typing import TYPE_CHECKING, Any, Literal

from backbearing.errors import BadInput, quoted
from backbearing.places.clocks import (
    MONTHS,
    WEEKDAYS,
    month_named,
    read_clock,
    weekday_named,
)
from backbearing.places.words import degrees_text
from backbearing.records import OtherSky, WantedLight
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import time

BACK_LIT_DEG = (0.0, 45.0)
SIDE_LIT_DEG = (45.0, 135.0)
FRONT_LIT_DEG = (135.0, 180.0)
_LIT_FROM: dict[str, tuple[float, float]] = {
    "back": BACK_LIT_DEG,
    "side": SIDE_LIT_DEG,
    "front": FRONT_LIT_DEG,
}
NO_MATTER = "any"

_NUMBER = r"([-−+]?\d+(?:\.\d+)?)\s*(?:°|deg|min)?"
_RANGE = re.compile(rf"\s*{_NUMBER}\s*(?:-|–|−|\.\.|to)\s*{_NUMBER}\s*", re.ASCII | re.IGNORECASE)
_CLOCKS = re.compile(r"\s*([^-–]+?)\s*(?:-|–|to)\s*([^-–]+?)\s*", re.IGNORECASE)


def generic_wish(*, bearing_known: bool) -> WantedLight:
    """The wish that stands in where none is on record: low sun on it, from the side.

    Common practice, no source: sun low enough to model, high enough to be strong. Without a
    camera bearing the side cannot be judged and is left out.
    """
    return WantedLight(
        delta_deg=SIDE_LIT_DEG if bearing_known else None,
        sun_altitude_deg=(5.0, 25.0),
        direct_sun=True,
        minimum_min=20.0,
    )


def lit_from_words(delta_deg: float, *, left: bool) -> str:
    """How a subject is lit with the sun `delta_deg` off the camera's line, on the left or right."""
    if delta_deg <= BACK_LIT_DEG[1]:
        return say("back-lit")
    if delta_deg >= FRONT_LIT_DEG[0]:
        return say("front-lit")
    return say("side-lit from the left") if left else say("side-lit from the right")


# ---------------------------------------------------------------- words → wish


def read_wanted(options: Mapping[str, Any], base: WantedLight | None) -> WantedLight | None:
    """The wish these options ask for, on top of `base`; None where no option was given.

    options: what the command line carries, by the names in `_READERS` (text, or True/False for
    direct_sun; None where not given). 'any' lets go of a condition.
    Raises BadInput naming the option that cannot be read.
    """
    changed: dict[str, Any] = {}
    for name, text in options.items():
        if text is None:
            continue
        if name == "direct_sun":
            changed[name] = bool(text)
            continue
        option, read = _READERS[name]
        if str(text).strip().lower() == NO_MATTER:
            changed.update(_let_go(name))
        else:
            changed.update(read(str(text), option))
    if not changed:
        return None
    wish = dataclasses.replace(base or WantedLight(), **changed)
    clock = {"latest", "earliest"} & changed.keys()
    if clock and wish.earliest is not None and wish.earliest == wish.latest:
        raise BadInput(
            say("earliest and latest are both {earliest:%H:%M}", earliest=wish.earliest),
            where=_READERS["latest" if "latest" in clock else "earliest"][0],
            remedy=say("leave time between them"),
        )
    return wish


def _let_go(name: str) -> dict[str, Any]:
    blank = WantedLight()
    fields = ("delta_deg", "side") if name == "lit_from" else (name,)
    return {field: 0.0 if field == "minimum_min" else getattr(blank, field) for field in fields}


def _read_lit_from(text: str, where: str) -> dict[str, Any]:
    """`front`, `back`, `side`, `left`, `right`, `back left`, `60-120`, `60-120 left`."""
    words = text.lower().replace("-lit", "").replace(",", " ").split()
    side: Literal["left", "right"] | None = None
    if words and words[-1] in ("left", "right"):
        side = "left" if words.pop() == "left" else "right"
    rest = " ".join(words)
    if not rest and side:
        return {"delta_deg": SIDE_LIT_DEG, "side": side}
    if rest in _LIT_FROM:
        return {"delta_deg": _LIT_FROM[rest], "side": side}
    remedy = say("write front, back, side, left, right, or degrees off the camera's line as 60-120")
    return {"delta_deg": _range(rest or text, where, 0.0, 180.0, remedy), "side": side}


def _range(
    text: str, where: str, least: float, most: float, remedy: str, *, turning: bool = False
) -> tuple[float, float]:
    found = _RANGE.fullmatch(text)
    if found is None:
        raise BadInput(
            say("{text_} is not a range", text_=quoted(text)), where=where, remedy=remedy
        )
    low, high = (float(part.replace("−", "-")) for part in found.groups())
    if not (least <= low <= most and least <= high <= most):
        raise BadInput(
            say(
                "{text_} reaches outside {least:g} to {most:g}",
                text_=quoted(text),
                least=least,
                most=most,
            ),
            where=where,
            remedy=remedy,
        )
    if low == high:
        raise BadInput(say("{text_} has no width", text_=quoted(text)), where=where, remedy=remedy)
    if low > high and not turning:
        raise BadInput(
            say("{text_} runs backwards", text_=quoted(text)),
            where=where,
            remedy=say("put the lower first"),
        )
    return low, high


def _read_height(text: str, where: str) -> dict[str, Any]:
    remedy = say("write degrees above the horizon as 5-25")
    return {"sun_altitude_deg": _range(text, where, -18.0, 90.0, remedy)}


def _read_azimuth(text: str, where: str) -> dict[str, Any]:
    remedy = say("write true degrees, clockwise from the first to the second, as 180-240")
    first, last = _range(text, where, 0.0, 360.0, remedy, turning=True)
    whole_circle = abs(last - first) == 360.0
    return {"sun_azimuth_deg": None if whole_circle else (first, last)}


def _minutes_reader(field: str) -> Callable[[str, str], dict[str, Any]]:
    def read(text: str, where: str) -> dict[str, Any]:
        return {field: _range(text, where, 0.0, 1440.0, say("write minutes as 0-60"))}

    return read


def read_months(text: str, where: str) -> tuple[int, ...]:
    """Which months, 1 … 12, are written: `Oct-Mar`, `10-3`, `4,5,9`. Raises BadInput if none."""
    remedy = say("write 10-3, Oct-Mar or 4,5,9")
    months = _listed(text, where, month_named, 12, remedy, numbered=True)
    return tuple(month + 1 for month in months)


def _read_months(text: str, where: str) -> dict[str, Any]:
    return {"months": read_months(text, where)}


def _read_weekdays(text: str, where: str) -> dict[str, Any]:
    return {"weekdays": _listed(text, where, weekday_named, 7, say("write sat,sun or mon-fri"))}


def _listed(
    text: str,
    where: str,
    named: Callable[[str], int | None],
    count: int,
    remedy: str,
    *,
    numbered: bool = False,
) -> tuple[int, ...]:
    """Names, single or as stretches that may run over the end: `Oct-Mar`, `sat,sun`."""

    def index(word: str) -> int:
        if numbered and re.fullmatch(r"0?[1-9]|1[0-2]", word):
            return int(word) - 1
        found = named(word)
        if found is not None:
            return found
        raise BadInput(
            say("{word} is none of them", word=quoted(word or text)), where=where, remedy=remedy
        )

    found: list[int] = []
    for part in re.split(r"[,\s]+(?![-–])", re.sub(r"\s*[-–]\s*", "-", text.strip())):
        ends = [index(word) for word in part.split("-")]
        if len(ends) > 2:
            raise BadInput(
                say("{part} is not a stretch", part=quoted(part)), where=where, remedy=remedy
            )
        stretch = (ends[-1] - ends[0]) % count + 1
        found += [(ends[0] + step) % count for step in range(stretch)]
    return tuple(dict.fromkeys(found))


def _clock_reader(field: str) -> Callable[[str, str], dict[str, Any]]:
    def read(text: str, where: str) -> dict[str, Any]:
        return {field: read_clock(text, where=where)}

    return read


def _read_at_least(text: str, where: str) -> dict[str, Any]:
    from backbearing.places.lengths import read_duration_s

    bare = re.fullmatch(r"\s*\d+(?:\.\d+)?\s*", text, re.ASCII)
    minutes = float(text) if bare else read_duration_s(text, where=where) / 60.0
    if not 0.0 <= minutes <= 1440.0:
        raise BadInput(
            say("{text_} is longer than a day", text_=quoted(text)),
            where=where,
            remedy=say("write it as 20min"),
        )
    return {"minimum_min": minutes}


def _read_other_sky(text: str, where: str) -> dict[str, Any]:
    found = _CLOCKS.fullmatch(text)
    if found is None:
        raise BadInput(
            say("{text_} is not two clock times", text_=quoted(text)),
            where=where,
            remedy=say("write it as 10:30-15:00"),
        )
    earliest, latest = (read_clock(part, where=where) for part in found.groups())
    if earliest == latest:
        raise BadInput(say("{text_} has no length", text_=quoted(text)), where=where)
    return {"other_sky": OtherSky(earliest=earliest, latest=latest)}


# keyword → (option as typed, reader)
_READERS: dict[str, tuple[str, Callable[[str, str], dict[str, Any]]]] = {
    "lit_from": ("--lit-from", _read_lit_from),
    "sun_altitude_deg": ("--sun-height", _read_height),
    "sun_azimuth_deg": ("--sun-azimuth", _read_azimuth),
    "after_first_sun_min": ("--after-first-sun", _minutes_reader("after_first_sun_min")),
    "before_last_sun_min": ("--before-last-sun", _minutes_reader("before_last_sun_min")),
    "months": ("--months", _read_months),
    "weekdays": ("--weekdays", _read_weekdays),
    "earliest": ("--earliest", _clock_reader("earliest")),
    "latest": ("--latest", _clock_reader("latest")),
    "minimum_min": ("--at-least", _read_at_least),
    "other_sky": ("--other-sky", _read_other_sky),
}


# ---------------------------------------------------------------- wish → words


def wanted_clauses(wanted: WantedLight, *, facing_deg: float | None = None) -> dict[str, str]:
    """Each thing the wish asks for, by the name its condition carries, as a short clause.

    facing_deg: the way the subject's face looks, where that is known: then sun and shade are
    the face's. The order is that of the conditions; 'minimum length' and 'other sky' come last.
    """
    clauses: dict[str, str] = {}
    if wanted.direct_sun is not None:
        name = "direct sun" if wanted.direct_sun else "shade"
        clauses[name] = _sun_clause(wanted.direct_sun, facing_deg)
    if wanted.direct_sun is not True and wanted.sun_altitude_deg is None:
        clauses["daylight"] = say("by day")
    if wanted.delta_deg is not None or wanted.side is not None:
        clauses["lit from"] = _lit_clause(wanted.delta_deg, wanted.side)
    if wanted.sun_altitude_deg is not None:
        clauses["sun height"] = say("sun {range}° high", range=range_words(wanted.sun_altitude_deg))
    if wanted.sun_azimuth_deg is not None:
        clauses["sun azimuth"] = _azimuth_clause(wanted.sun_azimuth_deg)
    if wanted.after_first_sun_min is not None:
        minutes = range_words(wanted.after_first_sun_min)
        clauses["after first sun"] = say("{minutes} min after first sun", minutes=minutes)
    if wanted.before_last_sun_min is not None:
        minutes = range_words(wanted.before_last_sun_min)
        clauses["before last sun"] = say("{minutes} min before last sun", minutes=minutes)
    if wanted.months:
        clauses["months"] = _stretches([m - 1 for m in wanted.months], MONTHS)
    if wanted.weekdays:
        clauses["weekdays"] = _stretches(wanted.weekdays, WEEKDAYS)
    if wanted.earliest is not None or wanted.latest is not None:
        clauses["clock"] = _clock_clause(wanted.earliest, wanted.latest)
    if wanted.minimum_min > 0.0:
        clauses["minimum length"] = say(
            "for {minimum_min:g} min at least", minimum_min=wanted.minimum_min
        )
    if wanted.other_sky is not None:
        sky = wanted.other_sky
        clauses["other sky"] = say(
            "overcast will do {earliest:%H:%M}–{latest:%H:%M}",
            earliest=sky.earliest,
            latest=sky.latest,
        )
    return clauses


def wanted_words(wanted: WantedLight, *, facing_deg: float | None = None) -> str:
    """The whole wish in one line: 'sun on it, side-lit from the left, sun 5–25° high, …'."""
    return ", ".join(wanted_clauses(wanted, facing_deg=facing_deg).values())


def range_words(limits: tuple[float, float]) -> str:
    """'5–25', or '−6 to 4' where a sign would be lost in the dash."""
    low, high = (f"{value:g}".replace("-", "−") for value in limits)
    return (
        say("{low} to {high}", low=low, high=high)
        if limits[0] < 0 or limits[1] < 0
        else f"{low}–{high}"
    )


def _sun_clause(sun: bool, facing_deg: float | None) -> str:
    if facing_deg is None:
        return say("sun on it") if sun else say("in shade")
    face = say("its face (looking {facing})", facing=degrees_text(facing_deg))
    return say("sun on {face}", face=face) if sun else say("{face} in shade", face=face)


def _lit_clause(delta_deg: tuple[float, float] | None, side: str | None) -> str:
    if delta_deg is None:
        return say("sun on the {side} of the frame", side=say(side or ""))
    named = next((name for name, limits in _LIT_FROM.items() if limits == delta_deg), None)
    if named == "side":
        return say("side-lit from the {side}", side=say(side)) if side else say("side-lit")
    if named:
        return say(f"{named}-lit") + (say(", sun on the {side}", side=say(side)) if side else "")
    clause = say("sun {range}° off the camera's line", range=range_words(delta_deg))
    return say("{clause}, on the {side}", clause=clause, side=say(side)) if side else clause


def _azimuth_clause(limits: tuple[float, float]) -> str:
    return say(
        "sun between {limits:g}° and {limits_2:g}° true", limits=limits[0], limits_2=limits[1]
    )


def _clock_clause(earliest: time | None, latest: time | None) -> str:
    if earliest is None:
        return say("until {latest:%H:%M}", latest=latest)
    if latest is None:
        return say("from {earliest:%H:%M}", earliest=earliest)
    return say("between {earliest:%H:%M} and {latest:%H:%M}", earliest=earliest, latest=latest)


def _stretches(listed: Sequence[int], names: Sequence[str]) -> str:
    """'Oct–Mar' or 'Sat, Sun': neighbours joined, over the end of the year or week too."""
    held, count = set(listed), len(names)
    shown = [name.capitalize() for name in names]
    if len(held) == count:
        return f"{shown[0]}–{shown[-1]}"
    parts: list[str] = []
    for first in (i for i in dict.fromkeys(listed) if (i - 1) % count not in held):
        length = next(n for n in range(1, count + 1) if (first + n) % count not in held)
        last = (first + length - 1) % count
        joint = ", " if length == 2 else "–"
        parts.append(shown[first] if length == 1 else f"{shown[first]}{joint}{shown[last]}")
    return ", ".join(parts)
