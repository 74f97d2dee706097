"""Exposures in words: seconds as they are set or counted, their range, the day's table."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.zones import clock_name, clock_text, local
from backbearing.writers.text import clean, counted, table
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from backbearing.plans.expose import ExposeAnswer, TripodTables
    from backbearing.plans.expose.clockrows import ClockRow
    from backbearing.plans.expose.seconds import Seconds
    from backbearing.plans.light.seconds import TimedLight

_QUARTERS = {0.25: "¼", 0.5: "½", 0.75: "¾", 0.0: ""}
_WIDE = 100
IN_DOUBT = "the skyline's error leaves open whether the sun is seen"
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
    clock = clock_text(answer.at, zone, abbreviation=True)
    head = f"{clean(answer.subject)}, {day_text(answer.day)}, {clock}"
    lines = [f"{head}, {answer.meter or answer.sky + ' sky'}", *_light_lines(answer)]
    if answer.batch is None:
        lines.append(f"  {clean(answer.advice)}")
    else:
        loaded = f" ({answer.batch_basis})" if answer.batch_basis else ""
        given = f"{clean(answer.batch.name)}{loaded} at {clean(answer.aperture.words)}"
        lines.append(f"  exposure  {range_text(answer.seconds)} on {given}")
        lines += _costs(answer)
    if answer.too_short:
        lines.append(_hung(clean(answer.too_short)))
    if answer.changing:
        lines.append(_hung(answer.changing))
    if answer.stop_lasts_min is not None:
        lines.append(f"  a stop    in {answer.stop_lasts_min} min from then")
    lines += [*_latest_lines(answer), *_moon_lines(answer)]
    lines += ["", "Clock to seconds" if answer.batch else "Clock to EV at ISO 100"]
    lines[-1] += f", {zone_words(answer)}"
    lines.append(_clock_table(answer))
    if any(row.sun_in_doubt for row in answer.rows):
        lines.append(f"?: {IN_DOUBT}")
    if answer.meter:
        lines.append("The table is by prediction for each sky; it is not moved to the reading.")
    lines += _contrast(answer)
    if answer.blurred:
        lines.append(f"Moves in that time: {', '.join(answer.blurred)} (common practice).")
    rests_on = "Rests on: " + "; ".join(clean(one) for one in answer.assumptions) + "."
    lines += ["", fill(rests_on, _WIDE), *answer.cautions]
    return "\n".join(lines)


def _hung(text: str, head: str = "") -> str:
    """A sentence of the answer, under the words that begin it."""
    hang = " " * 12
    return fill(text, _WIDE, initial_indent=f"  {head:<10}", subsequent_indent=hang)


def _light_lines(answer: ExposeAnswer) -> list[str]:
    if answer.ev100 is None:
        return ["  dark: no exposure can be told"]
    said = f"EV {answer.ev100:.1f} at ISO 100{ev_range_text(answer)}".replace("-", "−")
    lines = [_hung(said, "light")]
    if answer.meter_says:
        lines.append(_hung(clean(answer.meter_says)))
    elif answer.meter_off_stops is not None:
        lines.append(
            _hung(f"{answer.meter_off_stops:+.1f} stop from the prediction, within its range")
        )
    if answer.face and not answer.meter:
        lines.append(_hung(clean(answer.face), "sun"))
    return lines


def ev_range_text(answer: ExposeAnswer) -> str:
    """', ± 0.7 stop'; ' (9.6 to 13.9)' where one way is wider than the other."""
    if answer.ev100 is None or answer.ev_low is None or answer.ev_high is None:
        return ", range not known"
    below, above = answer.ev100 - answer.ev_low, answer.ev_high - answer.ev100
    if abs(below - above) < 0.15:
        return f", ± {max(below, above):.1f} stop"
    return f" ({answer.ev_low:.1f} to {answer.ev_high:.1f})"


def _latest_lines(answer: ExposeAnswer) -> list[str]:
    if answer.limit_s is None or answer.batch is None:
        return []
    limit = seconds_text(answer.limit_s)
    if answer.latest_within is None:
        seconds = answer.seconds
        over = seconds is None or seconds.exact_s > answer.limit_s
        # a reading too far from the prediction moves no day
        text = (
            f"it is over {limit} already"
            if over
            else f"under {limit} then; until when, is not known"
        )
        return [f"  latest    {text}"]
    text = f"{clock_text(answer.latest_within, answer.zone)} for no more than {limit}"
    if answer.latest_surely is None:
        text += "; at the slow end of the range it is over that already"
    elif answer.latest_surely != answer.latest_within:
        text += f"; {clock_text(answer.latest_surely, answer.zone)} by the slow end of the range"
    return [_hung(text, "latest")]


def _moon_lines(answer: ExposeAnswer) -> list[str]:
    moon = answer.moon
    if moon is None:
        return []
    if moon.ev100 is None:
        return [_hung("not up", "moon")]
    lit = f"{100.0 * moon.lit_share:.0f} % lit, {degrees(moon.altitude_deg)} up"
    if moon.over_skyline <= 0.0:
        lit += " behind the skyline"
    ev = f"EV {moon.ev100:.1f}".replace("-", "−")
    text = f"{ev} ± {moon.doubt_stops:.1f} stop by it alone, {lit}"
    if answer.batch is not None:
        text += f": {range_text(moon.seconds)}, steady"
    return [_hung(text, "moon")]


def zone_words(answer: ExposeAnswer) -> str:
    """'clock of Atlantic/Azores'."""
    return f"clock of {clock_name(answer.zone)}"


def degrees(angle_deg: float) -> str:
    """'−3°'."""
    return f"{angle_deg:.0f}°".replace("-", "−")


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
        rows.append([clock_text(row.at, answer.zone), sun_text(row), *cells])
    return table(["clock", "sun", *SKIES], rows)


def sun_text(row: ClockRow) -> str:
    """'13° own shade', '3° hidden ?', '−4°'."""
    words = "" if row.sun in ("on it", "down") else f" {row.sun}"
    doubt = " ?" if row.sun_in_doubt and row.sun != "down" else ""
    return f"{degrees(row.sun_altitude_deg)}{words}{doubt}"


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
    lines = [tables_heading(tables), "", table(head, rows, right=(0,))]
    return "\n".join([*lines, "", *(f"{one}." for one in map(clean, tables.assumptions))])


def tables_heading(tables: TripodTables) -> str:
    """'Meter to seconds: slate coating 4, ISO 2, for open shade under a clear sky'."""
    batch = tables.batch
    return (
        f"Meter to seconds: {clean(batch.name)}, ISO {batch.speed_iso:g}, for {clean(tables.light)}"
    )


def table_cells(tables: TripodTables) -> tuple[list[str], list[list[str]]]:
    """Head and rows of meter → seconds."""
    head = ["EV", "ISO 100, f/16", *(clean(mark.words) for mark in tables.apertures)]
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
            *(
                range_text(each) + (" ?" if _over(each, timed.limit_s) else "")
                for each in (one.at_start, one.at_best, one.at_end)
            ),
        ]
        for one in timed.windows
    ]
    if rows:
        lines.append(table(["subject", "from", "sky", "at start", "at best", "at end"], rows))
    told = [*(f"{each}; the range counts it elsewhere too" for each in timed.faces)]
    lines += [fill(f"{clean(each)}.", _WIDE) for each in (*told, *timed.not_counted)]
    if timed.limit_s is not None:
        limit = seconds_text(timed.limit_s)
        left = counted(timed.too_long, "window")
        lines.append(
            f"{left} left out: over {limit} at start, best or end, by the middle of the range."
        )
        if any(one.may_be_over for one in timed.windows):
            lines.append(f"?: may be over {limit}, at the slow end of the range.")
    return "\n".join(lines)


def _over(seconds: Seconds | None, limit_s: float | None) -> bool:
    return limit_s is not None and seconds is not None and seconds.most_s > limit_s
