"""Exposures in words: seconds as they are set or counted, their range, the day's table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.zones import clock_text, local
from backbearing.writers.text import clean, counted, table
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from backbearing.plans.expose import ExposeAnswer, TripodTables
    from backbearing.plans.expose.seconds import Seconds
    from backbearing.plans.light.seconds import TimedLight

_QUARTERS = {0.25: "¼", 0.5: "½", 0.75: "¾", 0.0: ""}
SKIES = ("clear", "hazy", "overcast")


def seconds_text(seconds: float) -> str:
    """A time as it is set or counted: 1/30 s, 2½ s, 40 s, 1¼ min, 2 h."""
    if seconds < 0.55:
        return f"1/{1.0 / seconds:.0f} s" if seconds < 0.35 or seconds > 0.45 else "1/2.5 s"
    if seconds < 1.0:
        return f"{seconds:.1f} s"
    for unit_s, name in ((1.0, "s"), (60.0, "min"), (3600.0, "h")):
        if seconds < 60.0 * unit_s or name == "h":
            count = seconds / unit_s
            whole, part = int(count), count - int(count)
            if part in _QUARTERS:
                return f"{whole or ''}{_QUARTERS[part]} {name}"
            return f"{count:.1f} {name}"
    raise AssertionError(seconds)  # every span is below infinity hours


def range_text(seconds: Seconds | None) -> str:
    """A time with its range."""
    if seconds is None:
        return "too dark"
    if seconds.low_s == seconds.high_s:
        return seconds_text(seconds.shown_s)
    return (
        f"{seconds_text(seconds.shown_s)} "
        f"({seconds_text(seconds.low_s)} to {seconds_text(seconds.high_s)})"
    )


def expose_text(answer: ExposeAnswer) -> str:
    """The answer of `expose` as plain text."""
    zone = answer.zone
    head = f"{clean(answer.subject)}, {day_text(answer.day)}, {clock_text(answer.at, zone)}"
    lines = [f"{head}, {answer.meter or answer.sky + ' sky'}"]
    if answer.ev100 is None:
        lines.append("  dark: no exposure can be told")
    else:
        lines.append(f"  light     EV {answer.ev100:.1f} at ISO 100, ± {answer.ev_doubt_stops:.1f}")
    if answer.batch is None:
        lines.append(f"  {clean(answer.advice)}")
    else:
        given = f"{clean(answer.batch.name)} at {aperture_text(answer.aperture)}"
        lines.append(f"  exposure  {range_text(answer.seconds)} on {given}")
        lines += _costs(answer)
    if answer.changing:
        lines.append(f"            {answer.changing}")
    if answer.stop_lasts_min is not None and not answer.meter:
        lines.append(f"  a stop    in {answer.stop_lasts_min} min from then")
    if answer.limit_s is not None and answer.batch is not None and not answer.meter:
        limit = seconds_text(answer.limit_s)
        lines.append(
            f"  latest    {clock_text(answer.latest_within, zone)} for no more than {limit}"
            if answer.latest_within
            else f"  latest    it is over {limit} already"
        )
    lines += ["", "Clock to seconds" if answer.batch else "Clock to EV at ISO 100"]
    lines.append(_clock_table(answer))
    lines += _contrast(answer)
    if answer.blurred:
        lines.append(f"Moves in that time: {', '.join(answer.blurred)} (common practice).")
    lines += ["", "Rests on: " + "; ".join(clean(one) for one in answer.assumptions) + "."]
    lines += list(answer.cautions)
    return "\n".join(lines)


def aperture_text(engraved: str) -> str:
    """An aperture as it stands on the lens, with f/ before a bare number."""
    text = clean(engraved)
    return text if text.startswith("f/") or not text[:1].isdigit() else f"f/{text}"


def _costs(answer: ExposeAnswer) -> list[str]:
    parts = []
    if answer.colour_stops is not None and abs(answer.colour_stops) >= 0.1:
        kind = "faster" if answer.colour_stops > 0 else "slower"
        parts.append(f"plate {abs(answer.colour_stops):.1f} stop {kind} in this light")
    if answer.filter_name:
        parts.append(f"{clean(answer.filter_name)} filter {answer.filter_stops:.1f} stop")
    if answer.bellows_stops >= 0.1:
        parts.append(f"bellows {answer.bellows_stops:.1f} stop")
    if answer.seconds is not None and answer.seconds.past_table:
        parts.append("past the reciprocity table's end: carried on, not known")
    return [f"            in it: {', '.join(parts)}"] if parts else []


def _clock_table(answer: ExposeAnswer) -> str:
    rows = []
    for row in answer.rows:
        if answer.batch is not None:
            cells = [range_text(one) for one in row.seconds]
        else:
            cells = [f"{ev:.1f}" if ev > -20 else "dark" for ev in row.ev100]
        sun = f"{row.sun_altitude_deg:.0f}°" + ("" if row.sun_share > 0 else " hidden")
        rows.append([clock_text(row.at, answer.zone), sun, *cells])
    return table(["clock", "sun", *SKIES], rows)


def _contrast(answer: ExposeAnswer) -> list[str]:
    found = answer.contrast
    if found is None:
        return []
    tones = ", ".join(f"{tone.name} {tone.stops:+.1f}" for tone in found.tones)
    lines = [""]
    if found.sides_stops is not None:
        lines.append(f"Lit over shaded side: {found.sides_stops:.1f} stops as the plate sees it.")
    if found.wanted:
        tones_of = ", ".join(found.wanted)
        lines.append(f"To be drawn: {tones_of}, {found.span_stops:.1f} stops with sun and shade.")
    lines.append(f"Tones from middle grey, in stops (common practice): {tones}.")
    if found.warning:
        lines.append(f"Too much: {found.warning}.")
    elif not found.wanted:
        lines.append("Name the tones that must be drawn with --tone, and their span is told.")
    return lines


def tables_text(tables: TripodTables) -> str:
    """Meter → seconds as plain text."""
    head, rows = table_cells(tables)
    lines = [f"Meter to seconds: {clean(tables.batch.name)}", "", table(head, rows, right=(0,))]
    return "\n".join([*lines, "", *(f"{one}." for one in map(clean, tables.assumptions))])


def table_cells(tables: TripodTables) -> tuple[list[str], list[list[str]]]:
    """Head and rows of meter → seconds."""
    head = ["EV", "ISO 100, f/16", *(aperture_text(mark.engraved) for mark in tables.apertures)]
    rows = [
        [
            str(row.ev100),
            seconds_text(row.iso100_f16_s),
            *("–" if one is None else seconds_text(one.shown_s) for one in row.seconds),
        ]
        for row in tables.rows
    ]
    return head, rows


def timed_text(timed: TimedLight) -> str:
    """The seconds of light windows as plain text."""
    glass = f", bellows of {clean(timed.lens)} in" if timed.lens else ""
    lines = [f"Seconds on {clean(timed.batch)} at f/{timed.f_number:.3g}, over grass{glass}:"]
    rows = [
        [
            clean(one.subject)
            + (
                f" ({clean(one.camera_position)})"
                if one.camera_position not in ("", "main")
                else ""
            ),
            f"{day_text(local(one.start, one.zone).date())} {clock_text(one.start, one.zone)}",
            one.sky if one.wanted else f"if {one.sky}",
            *(range_text(each) for each in (one.at_start, one.at_best, one.at_end)),
        ]
        for one in timed.windows
    ]
    if rows:
        lines.append(table(["subject", "from", "sky", "at start", "at best", "at end"], rows))
    if timed.limit_s is not None:
        left = counted(timed.too_long, "window")
        lines.append(f"{left} left out: over {seconds_text(timed.limit_s)} at start, best or end.")
    return "\n".join(lines)
