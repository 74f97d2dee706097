"""Plates in words: what is loaded, what was exposed, how it came out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.places.zones import clock_text, local
from backbearing.writers.text import clean, counted, table

if TYPE_CHECKING:
    from backbearing.plans.plates import PlateAnswer, PlateLine


def plates_text(answer: PlateAnswer) -> str:
    """A line for each plate, what it teaches, and what is still loaded."""
    lines = []
    if answer.plates:
        head = ["number", "side", "state", "batch", "of", "when", "exposure", "came out"]
        lines.append(table(head, [_row(line) for line in answer.plates], right=[0]))
    lines += [
        clean(f"{line.plate.holder}{line.plate.side}: {line.lesson}")
        for line in answer.plates
        if line.lesson
    ]
    lines += [
        clean(f"{line.plate.holder}{line.plate.side}: {line.plate.note}")
        for line in answer.plates
        if line.plate.note
    ]
    empty = f"; empty: {', '.join(answer.empty_sides)}" if answer.empty_sides else ""
    lines.append(clean(f"{counted(answer.loaded, 'plate')} still loaded{empty}"))
    return "\n".join(lines)


def _row(line: PlateLine) -> list[str]:
    plate = line.plate
    return [
        str(plate.id),
        f"{plate.holder}{plate.side}",
        plate.state,
        plate.batch,
        line.subject,
        ""
        if plate.exposed_at is None
        else f"{local(plate.exposed_at, line.zone):%Y-%m-%d} "
        f"{clock_text(plate.exposed_at, line.zone)}",
        exposure_words(line),
        _came_out(line),
    ]


def plate_line(line: PlateLine) -> str:
    """A plate in one line, as it stands under its subject, with what it teaches."""
    plate = line.plate
    day = f"{local(plate.exposed_at, line.zone):%Y-%m-%d}  " if plate.exposed_at else ""
    parts = (exposure_words(line), plate.batch, _came_out(line), line.lesson, plate.note)
    said = "; ".join(part for part in parts if part)
    return clean(f"  {day}{plate.holder}{plate.side}: {said}")


def _came_out(line: PlateLine) -> str:
    plate = line.plate
    words = (
        f"shadows {plate.shadows}" if plate.shadows else "",
        f"highlights {plate.highlights}" if plate.highlights else "",
        plate.development,
    )
    return ", ".join(word for word in words if word)


def exposure_words(line: PlateLine) -> str:
    """'40 s f/16, mark 5 m, at 4 m'; '' for a plate not exposed."""
    plate = line.plate
    if plate.exposure_s is None:
        return ""
    seconds = plate.exposure_s
    said = f"{seconds:g} s" if seconds >= 0.4 else f"1/{1.0 / seconds:.0f} s"
    if plate.f_number is not None:
        said += f" f/{plate.f_number:.3g}"
    if plate.focus_mark:
        said += f", mark {plate.focus_mark}"
    if plate.distance_m is not None:
        said += f", at {metres_text(plate.distance_m)}"
    return said
