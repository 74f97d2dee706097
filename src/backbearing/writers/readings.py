"""Edges measured by hand and trees, in words; and the sheet to take readings on."""

from __future__ import annotations

from calendar import month_abbr
from textwrap import fill
from typing import TYPE_CHECKING

from backbearing.places.words import degrees_text
from backbearing.writers.text import clean, counted, table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from backbearing.plans.readings import ReadingsAnswer
    from backbearing.plans.worthreading import ReadingSheet
    from backbearing.records import EdgeReading, Trees

_WIDE = 100
SUN_CAUTION = (
    "Never point an eye, a clinometer, a finder or any other glass at the sun: read the edge "
    "when the sun is behind it or well away from it."
)


def readings_text(answer: ReadingsAnswer) -> str:
    """What was added and what is on record, as a table."""
    lines = []
    if answer.added:
        lines.append(f"{counted(len(answer.added), 'reading')} of {clean(answer.subject)} added")
    if answer.readings:
        lines += [f"Edges measured by hand at {clean(answer.subject)}", _table(answer.readings)]
    else:
        lines.append(f"no edge measured by hand on record of {clean(answer.subject)}")
    if answer.trees is not None:
        lines.append(f"Trees: {trees_words(answer.trees)}")
    lines += [fill(f"assumed: {clean(each)}", _WIDE) for each in answer.assumed]
    return "\n".join(lines)


def trees_text(answer: ReadingsAnswer) -> str:
    """Which trees are on record, and what was assumed of them."""
    said = "none on record" if answer.trees is None else trees_words(answer.trees)
    lines = [f"Trees at {clean(answer.subject)}: {said}"]
    return "\n".join([*lines, *(fill(f"assumed: {clean(each)}", _WIDE) for each in answer.assumed)])


def trees_words(trees: Trees) -> str:
    """'12 m tall from 15 m away on, in leaf May–Oct'."""
    said = f"{trees.tall_m:g} m tall from {trees.beyond_m:g} m away on, "
    if trees.evergreen:
        said += "evergreen"
    elif trees.leaf_months:
        said += f"in leaf in {_months(trees.leaf_months)}"
    else:
        said += "never in leaf"
    return said + (f" ({clean(trees.note)})" if trees.note else "")


def _months(months: Sequence[int]) -> str:
    """Runs of months, round the year's end too: 'May to Oct', 'Nov to Apr'."""
    if len(months) == 12:
        return "every month"
    starts = [m for m in months if (m - 2) % 12 + 1 not in months]
    runs = []
    for start in starts:
        end = start
        while end % 12 + 1 in months:
            end = end % 12 + 1
        first, last = month_abbr[start], month_abbr[end]
        runs.append(first if start == end else f"{first} to {last}")
    return ", ".join(runs)


def _table(readings: Sequence[EdgeReading]) -> str:
    rows = [
        [
            "" if each.id is None else str(each.id),
            clean(each.azimuth.as_written),
            f"{degrees_text(each.azimuth.true_deg)}",
            f"{each.azimuth.error_deg:.1f}",
            _angle(each.altitude_deg),
            f"{each.altitude_error_deg:.1f}",
            each.effect,
            clean(each.note),
        ]
        for each in readings
    ]
    head = ["no.", "read", "true", "± °", "up", "± °", "", "note"]
    return table(head, rows, right=[0, 2, 3, 4, 5])


def _angle(angle_deg: float) -> str:
    return f"{angle_deg:.1f}°".replace("-", "−")


def sheet_text(sheet: ReadingSheet) -> str:
    """The azimuths worth a reading, with blanks to fill in with a pencil."""
    if not sheet.worth:
        return fill(sheet.why_none, _WIDE)
    rows = [
        [
            f"{round(each.azimuth_deg) % 360:03d}°",
            "" if each.compass_deg is None else f"{round(each.compass_deg) % 360:03d}M",
            _angle(each.altitude_deg),
            "?" if each.error_deg is None else f"{each.error_deg:.1f}",
            "____ ° up",
            "__________________",
            each.why,
        ]
        for each in sheet.worth
    ]
    head = ["true", "compass", "taken as", "± °", "your reading", "what stands there", "why"]
    lines = [
        f"Worth a reading at {clean(sheet.name)}, for {sheet.light_words}:",
        table(head, rows, right=[0, 1, 2, 3]),
        "Stand where the subject is; read the top of what hides the sun, not the ground before it.",
    ]
    if sheet.declination_deg is not None:
        lines.append(
            f"Compass bearings hold for {sheet.on.isoformat()} "
            f"(declination {_angle(sheet.declination_deg)}, east positive)."
        )
    if sheet.subject:
        lines.append(f"Then: backbearing reading add {_shell(sheet.name)} '215M 12' '220M 14.5' …")
    lines.append(SUN_CAUTION)
    return "\n".join(fill(line, _WIDE) if "\n" not in line else line for line in lines)


def _shell(name: str) -> str:
    return "'" + clean(name).replace("'", "'\\''") + "'"
