"""Passages on record: put there, looked at again, and how likely each is open today."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.places.clocks import read_day
from backbearing.places.days import short_month
from backbearing.records import Passage, PassageReport
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from datetime import date

    from backbearing.notebook import Notebook
    from backbearing.records import PassageCause, PassageKind, PassageState

NEAR_M = 2000.0  # unless told: about half an hour's walk
PRACTICE = phrase("common practice, no source")


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageLine:
    """A passage, the chance that it is open on the day, and where it lies from the place asked.

    away_m, bearing_deg: None where no place was asked for. last_found: its last report in words.
    """

    passage: Passage
    chance: float
    last_found: str
    away_m: float | None = None
    bearing_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageAnswer:
    """Passages as asked for; chances are of `on`.

    near: the place asked for, in words, '' for none. one: a single passage, shown with all that
    was found there. chances_rest_on: what stands behind the chances.
    """

    passages: tuple[PassageLine, ...]
    on: date
    near: str = ""
    within_m: float | None = None
    one: bool = False
    chances_rest_on: str = f"cause, season and age of what was found; {PRACTICE}"


def add_passage(
    notebook: Notebook,
    name: str,
    place: str,
    *,
    kind: PassageKind,
    state: PassageState | None = None,
    cause: PassageCause = "",
    side: str = "",
    on: str | None = None,
    note: str = "",
    today: date,
) -> PassageAnswer:
    """Put a passage on record, with what was found there where that is said.

    place: in words, as `locate` reads them. on: the day as typed; today where there is none.
    Raises BadInput for a name that is taken or no name, a day to come, a cause that does not go
    with the state; what `locate` raises.
    """
    from backbearing.notebook.lines import add_passage as put
    from backbearing.plans.locate import locate
    from backbearing.plans.marking import usable_name

    written = usable_name(name, what="passage")
    reports: tuple[PassageReport, ...] = ()
    if state is not None or cause or side or on is not None or note:
        reports = (_report(state, cause, side=side, on=on, note=note, today=today),)
    located = locate(notebook, place)
    with notebook.writing():
        passage = put(
            notebook, Passage(name=written, kind=kind, place=located.place, reports=reports)
        )
    return _one(notebook, passage.uid, today)


def try_passage(
    notebook: Notebook,
    name: str,
    *,
    found: PassageState,
    cause: PassageCause = "",
    side: str = "",
    on: str | None = None,
    note: str = "",
    today: date,
) -> PassageAnswer:
    """Keep what was found at a passage; what was found before stays.

    Raises NotFound for an unknown passage, BadInput as `add_passage` does.
    """
    from backbearing.notebook.lines import add_report, find_passage

    report = _report(found, cause, side=side, on=on, note=note, today=today)
    with notebook.writing():
        passage = find_passage(notebook, name)
        add_report(notebook, passage.id, report)
    return _one(notebook, passage.uid, today)


def passages_on_record(
    notebook: Notebook,
    name: str | None = None,
    *,
    near: str | None = None,
    within_m: float | None = None,
    on: date,
) -> PassageAnswer:
    """Which passages are on record, and how likely is each open on a day?

    name: only this one, with its history. near: a place in words, nearest first, no farther than
    within_m (NEAR_M unless given). Raises NotFound for an unknown name; what `locate` raises;
    BadInput for a length without a place.
    """
    from backbearing.notebook.lines import list_passages
    from backbearing.places.geodesy import inverse
    from backbearing.plans.locate import locate

    if within_m is not None and near is None:
        raise BadInput("a length needs a place", where="--within", remedy="name it with --near")
    if name is not None:
        if near is not None:
            raise BadInput("one passage or those near a place, not both", where="--near")
        return _one(notebook, name, on)
    every = list_passages(notebook)
    if near is None:
        return PassageAnswer(passages=tuple(_line(passage, on) for passage in every), on=on)
    located = locate(notebook, near)
    reach_m = NEAR_M if within_m is None else within_m
    found = []
    for passage in every:
        bearing_deg, away_m = inverse(
            located.place.latitude_deg,
            located.place.longitude_deg,
            passage.place.latitude_deg,
            passage.place.longitude_deg,
        )
        if away_m <= reach_m:
            found.append(_line(passage, on, float(away_m), float(bearing_deg) % 360.0))
    found.sort(key=lambda line: line.away_m or 0.0)
    return PassageAnswer(passages=tuple(found), on=on, near=located.name, within_m=reach_m)


def found_text(report: PassageReport) -> str:
    """What was found on a day, in words: `looked blocked, windfall, from the east, 8 Feb 2026`."""
    if report.state == "unknown" and not report.cause:
        said = [say("not known")]
    elif report.cause == "ran out of time":
        said = [say("not reached"), say(report.cause)]
    else:
        looked = report.state == "looked blocked"
        said = [
            say("looked blocked, not tried")
            if looked
            else say("found {state}", state=say(report.state))
        ]
        said += [report.cause] if report.cause else []
    said += [say("seen from {side}", side=say(report.side))] if report.side else []
    day = report.on
    return ", ".join(
        [*said, f"{day.day} {short_month(day)} {day.year}" if day else say("day not known")]
    )


def last_found_text(passage: Passage) -> str:
    """The last report in words, `never looked at` where there is none."""
    return found_text(passage.latest) if passage.reports else say("never looked at")


def _one(notebook: Notebook, name: str, on: date) -> PassageAnswer:
    from backbearing.notebook.lines import find_passage

    return PassageAnswer(passages=(_line(find_passage(notebook, name), on),), on=on, one=True)


def _line(
    passage: Passage, on: date, away_m: float | None = None, bearing_deg: float | None = None
) -> PassageLine:
    from backbearing.models.passages import chance_open

    return PassageLine(
        passage=passage,
        chance=chance_open(passage, on),
        last_found=last_found_text(passage),
        away_m=away_m,
        bearing_deg=bearing_deg,
    )


def _report(
    state: PassageState | None,
    cause: PassageCause,
    *,
    side: str,
    on: str | None,
    note: str,
    today: date,
) -> PassageReport:
    from backbearing.plans.marking import LONGEST_TEXT

    if cause == "ran out of time":
        if state in ("open", "blocked"):
            raise BadInput(
                f"running out of time does not tell that it is {state}",
                where="--cause",
                remedy="leave the state out, or say 'looked blocked'",
            )
        state = state or "unknown"
    elif cause and state not in ("blocked", "looked blocked"):
        why = (
            say("an open passage has no cause") if state == "open" else say("a cause needs a state")
        )
        raise BadInput(
            why, where="--cause", remedy="say whether it was 'blocked' or 'looked blocked'"
        )
    for text, where in ((side, "--side"), (note, "--note")):
        if len(text) > LONGEST_TEXT:
            raise BadInput(
                f"longer than {LONGEST_TEXT} characters", where=where, remedy="shorten it"
            )
    return PassageReport(
        state=state or "unknown",
        cause=cause,
        on=today if on is None else _past_day(on, today),
        side=" ".join(side.split()),
        note=note.strip(),
    )


def _past_day(text: str, today: date) -> date:
    word = text.strip().casefold()
    if word in ("today", "yesterday"):
        return today - timedelta(days=word == "yesterday")
    day = read_day(text, latest=today, where="--on")
    if day > today:
        raise BadInput(f"{quoted(text)} is still to come", where="--on")
    return day
