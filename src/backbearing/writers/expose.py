"""Exposures in words: seconds as they are set or counted, their range, the day's table."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.zones import clock_name, clock_text, local
from backbearing.saying import phrase, say, say_n
from backbearing.writers.text import clean, table
from backbearing.writers.words import day_text

if TYPE_CHECKING:
    from backbearing.plans.expose import ExposeAnswer, TripodTables
    from backbearing.plans.expose.clockrows import ClockRow
    from backbearing.plans.expose.seconds import Seconds
    from backbearing.plans.light.seconds import TimedLight

_QUARTERS = {0.25: "¼", 0.5: "½", 0.75: "¾", 0.0: ""}
_WIDE = 100
IN_DOUBT = phrase("the skyline's error leaves open whether the sun is seen")
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
        return say("too dark")
    if seconds.low_s == seconds.high_s:
        return seconds_text(seconds.shown_s)
    return say(
        "{seconds} ({seconds_2} to {seconds_3})",
        seconds=seconds_text(seconds.shown_s),
        seconds_2=seconds_text(seconds.low_s),
        seconds_3=seconds_text(seconds.high_s),
    )


def expose_text(answer: ExposeAnswer) -> str:
    """The answer of `expose` as plain text."""
    zone = answer.zone
    clock = clock_text(answer.at, zone, abbreviation=True)
    head = f"{clean(answer.subject)}, {day_text(answer.day)}, {clock}"
    lines = [f"{head}, {answer.meter or answer.sky + say(' sky')}", *_light_lines(answer)]
    if answer.batch is None:
        lines.append(f"  {clean(answer.advice)}")
    else:
        loaded = f" ({answer.batch_basis})" if answer.batch_basis else ""
        given = say(
            "{batch}{loaded} at {aperture}",
            batch=clean(answer.batch.name),
            loaded=loaded,
            aperture=clean(answer.aperture.words),
        )
        lines.append(
            say("  exposure  {seconds} on {given}", seconds=range_text(answer.seconds), given=given)
        )
        lines += _costs(answer)
    if answer.too_short:
        lines.append(_hung(clean(answer.too_short)))
    if answer.changing:
        lines.append(_hung(answer.changing))
    if answer.stop_lasts_min is not None:
        lines.append(
            say(
                "  a stop    in {stop_lasts_min} min from then",
                stop_lasts_min=answer.stop_lasts_min,
            )
        )
    lines += [*_latest_lines(answer), *_moon_lines(answer)]
    lines += ["", say("Clock to seconds") if answer.batch else say("Clock to EV at ISO 100")]
    lines[-1] += f", {zone_words(answer)}"
    lines.append(_clock_table(answer))
    if any(row.sun_in_doubt for row in answer.rows):
        lines.append(f"?: {say(IN_DOUBT)}")
    if answer.meter:
        lines.append(
            say("The table is by prediction for each sky; it is not moved to the reading.")
        )
    lines += _contrast(answer)
    if answer.blurred:
        lines.append(
            say(
                "Moves in that time: {blurred} (common practice).",
                blurred=", ".join(answer.blurred),
            )
        )
    rests_on = say("Rests on: ") + "; ".join(clean(one) for one in answer.assumptions) + "."
    lines += ["", fill(rests_on, _WIDE), *answer.cautions]
    return "\n".join(lines)


def _hung(text: str, head: str = "") -> str:
    """A sentence of the answer, under the words that begin it."""
    hang = " " * 12
    return fill(text, _WIDE, initial_indent=f"  {head:<10}", subsequent_indent=hang)


def _light_lines(answer: ExposeAnswer) -> list[str]:
    if answer.ev100 is None:
        return [say("  dark: no exposure can be told")]
    said = say(
        "EV {ev100:.1f} at ISO 100{ev_range}", ev100=answer.ev100, ev_range=ev_range_text(answer)
    ).replace("-", "−")
    lines = [_hung(said, say("light"))]
    if answer.meter_says:
        lines.append(_hung(clean(answer.meter_says)))
    elif answer.meter_off_stops is not None:
        lines.append(
            _hung(
                say(
                    "{meter_off_stops:+.1f} stop from the prediction, within its range",
                    meter_off_stops=answer.meter_off_stops,
                )
            )
        )
    if answer.face and not answer.meter:
        lines.append(_hung(clean(answer.face), say("sun")))
    return lines


def ev_range_text(answer: ExposeAnswer) -> str:
    """', ± 0.7 stop'; ' (9.6 to 13.9)' where one way is wider than the other."""
    if answer.ev100 is None or answer.ev_low is None or answer.ev_high is None:
        return say(", range not known")
    below, above = answer.ev100 - answer.ev_low, answer.ev_high - answer.ev100
    if abs(below - above) < 0.15:
        return say(", ± {below:.1f} stop", below=max(below, above))
    return say(" ({ev_low:.1f} to {ev_high:.1f})", ev_low=answer.ev_low, ev_high=answer.ev_high)


def _latest_lines(answer: ExposeAnswer) -> list[str]:
    if answer.limit_s is None or answer.batch is None:
        return []
    limit = seconds_text(answer.limit_s)
    if answer.latest_within is None:
        seconds = answer.seconds
        over = seconds is None or seconds.exact_s > answer.limit_s
        # a reading too far from the prediction moves no day
        text = (
            say("it is over {limit} already", limit=limit)
            if over
            else say("under {limit} then; until when, is not known", limit=limit)
        )
        return [say("  latest    {text_}", text_=text)]
    text = say(
        "{latest_within} for no more than {limit}",
        latest_within=clock_text(answer.latest_within, answer.zone),
        limit=limit,
    )
    if answer.latest_surely is None:
        text += say("; at the slow end of the range it is over that already")
    elif answer.latest_surely != answer.latest_within:
        text += say(
            "; {latest_surely} by the slow end of the range",
            latest_surely=clock_text(answer.latest_surely, answer.zone),
        )
    return [_hung(text, say("latest"))]


def _moon_lines(answer: ExposeAnswer) -> list[str]:
    moon = answer.moon
    if moon is None:
        return []
    if moon.ev100 is None:
        return [_hung(say("not up"), say("moon"))]
    lit = say(
        "{lit_share:.0f} % lit, {degrees} up",
        lit_share=100.0 * moon.lit_share,
        degrees=degrees(moon.altitude_deg),
    )
    if moon.over_skyline <= 0.0:
        lit += say(" behind the skyline")
    ev = f"EV {moon.ev100:.1f}".replace("-", "−")
    text = say(
        "{ev} ± {doubt_stops:.1f} stop by it alone, {lit}",
        ev=ev,
        doubt_stops=moon.doubt_stops,
        lit=lit,
    )
    if answer.batch is not None:
        text += say(": {seconds}, steady", seconds=range_text(moon.seconds))
    return [_hung(text, say("moon"))]


def zone_words(answer: ExposeAnswer) -> str:
    """'clock of Atlantic/Azores'."""
    return say("clock of {zone}", zone=clock_name(answer.zone))


def degrees(angle_deg: float) -> str:
    """'−3°'."""
    return f"{angle_deg:z.0f}°".replace("-", "−")


def aperture_text(engraved: str) -> str:
    """An aperture as it stands on the lens, with f/ before a bare number."""
    text = clean(engraved)
    return text if text.startswith("f/") or not text[:1].isdigit() else f"f/{text}"


def _costs(answer: ExposeAnswer) -> list[str]:
    parts = []
    if answer.colour_stops is not None and abs(answer.colour_stops) >= 0.1:
        kind = say("faster") if answer.colour_stops > 0 else say("slower")
        parts.append(
            say(
                "plate {colour_stops:.1f} stop {kind} in this light",
                colour_stops=abs(answer.colour_stops),
                kind=say(kind),
            )
        )
    if answer.filter_name:
        parts.append(
            say(
                "{filter_name} filter {filter_stops:.1f} stop",
                filter_name=clean(answer.filter_name),
                filter_stops=answer.filter_stops,
            )
        )
    if answer.bellows_stops >= 0.1:
        parts.append(say("bellows {bellows_stops:.1f} stop", bellows_stops=answer.bellows_stops))
    if answer.seconds is not None and answer.seconds.past_table:
        parts.append(say("past the reciprocity table's end: carried on, not known"))
    return [say("            in it: {parts}", parts=", ".join(parts))] if parts else []


def _clock_table(answer: ExposeAnswer) -> str:
    rows = []
    for row in answer.rows:
        if answer.batch is not None:
            cells = [range_text(one) for one in row.seconds]
        else:
            cells = [f"{ev:.1f}" if ev > -20 else say("dark") for ev in row.ev100]
        rows.append([clock_text(row.at, answer.zone), sun_text(row), *cells])
    return table([say("clock"), say("sun"), *SKIES], rows)


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
        lines.append(
            say(
                "Lit over shaded side: {sides_stops:.1f} stops as the plate sees it.",
                sides_stops=found.sides_stops,
            )
        )
    if found.wanted:
        tones_of = ", ".join(found.wanted)
        lines.append(
            say(
                "To be drawn: {tones_of}, {span_stops:.1f} stops with sun and shade.",
                tones_of=tones_of,
                span_stops=found.span_stops,
            )
        )
    lines.append(say("Tones from middle grey, in stops (common practice): {tones}.", tones=tones))
    if found.warning:
        lines.append(say("Too much: {warning}.", warning=found.warning))
    elif not found.wanted:
        lines.append(say("Name the tones that must be drawn with --tone, and their span is told."))
    return lines


def tables_text(tables: TripodTables) -> str:
    """Meter → seconds as plain text."""
    head, rows = table_cells(tables)
    lines = [tables_heading(tables), "", table(head, rows, right=(0,))]
    return "\n".join([*lines, "", *(f"{one}." for one in map(clean, tables.assumptions))])


def tables_heading(tables: TripodTables) -> str:
    """'Meter to seconds: slate coating 4, ISO 2, for open shade under a clear sky'."""
    batch = tables.batch
    return say(
        "Meter to seconds: {batch}, ISO {speed_iso:g}, for {light}",
        batch=clean(batch.name),
        speed_iso=batch.speed_iso,
        light=clean(tables.light),
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
    glass = say(", bellows of {lens} in", lens=clean(timed.lens)) if timed.lens else ""
    lines = [
        say(
            "Seconds on {batch} at f/{f_number:.3g}, over grass{glass}:",
            batch=clean(timed.batch),
            f_number=timed.f_number,
            glass=glass,
        )
    ]
    rows = [
        [
            clean(one.subject)
            + (
                f" ({clean(one.camera_position)})"
                if one.camera_position not in ("", "main")
                else ""
            ),
            f"{day_text(local(one.start, one.zone).date())} {clock_text(one.start, one.zone)}",
            one.sky if one.wanted else say("if {sky}", sky=say(one.sky)),
            *(
                range_text(each) + (" ?" if _over(each, timed.limit_s) else "")
                for each in (one.at_start, one.at_best, one.at_end)
            ),
        ]
        for one in timed.windows
    ]
    if rows:
        lines.append(
            table(
                [
                    say("subject"),
                    say("from"),
                    say("sky"),
                    say("at start"),
                    say("at best"),
                    say("at end"),
                ],
                rows,
            )
        )
    told = [*(say("{each}; the range counts it elsewhere too", each=each) for each in timed.faces)]
    lines += [fill(f"{clean(each)}.", _WIDE) for each in (*told, *timed.not_counted)]
    if timed.limit_s is not None:
        limit = seconds_text(timed.limit_s)
        left = say_n("{number:,} window", "{number:,} windows", timed.too_long)
        lines.append(
            say(
                "{left} left out: over {limit} at start, best or end, by the middle of the range.",
                left=left,
                limit=limit,
            )
        )
        if any(one.may_be_over for one in timed.windows):
            lines.append(say("?: may be over {limit}, at the slow end of the range.", limit=limit))
    return "\n".join(lines)


def _over(seconds: Seconds | None, limit_s: float | None) -> bool:
    return limit_s is not None and seconds is not None and seconds.most_s > limit_s
