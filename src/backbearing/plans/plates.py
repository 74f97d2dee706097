"""Plates: loaded, exposed, developed, and what each of them teaches."""

from __future__ import annotations

import dataclasses
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.notebook.names import name_key
from backbearing.places.apertures import f_number, f_number_on_any
from backbearing.records import Plate

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.records import Development, Highlights, Holder, PlateState, Shadows

SHADOW_LESSONS: dict[Shadows, str] = {
    "": "",
    "empty": "shadows empty: one to two stops more exposure",
    "thin": "shadows thin: half a stop to a stop more exposure",
    "full": "",
}
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateLine:
    """A plate with what it is of, and what it teaches."""

    plate: Plate
    subject: str  # '' where it is of none on record
    lesson: str  # what to change next time, '' where nothing
    zone: str  # whose clock rules there


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateAnswer:
    """Plates as asked for, and how many sides are still loaded."""

    plates: tuple[PlateLine, ...]
    loaded: int
    empty_sides: tuple[str, ...]  # of the holders on record


def load_plates(
    notebook: Notebook, sides: Sequence[str], *, batch: str, now: datetime
) -> PlateAnswer:
    """Put plates into holders' sides ('3A'; '3' means all sides of holder 3).

    Raises NotFound for an unknown batch or holder, BadInput for a side that holds a plate not yet
    developed.
    """
    from backbearing.notebook.kit import find_batch
    from backbearing.notebook.plates import add_plate

    known = find_batch(notebook, batch)
    made = []
    with notebook.writing():
        for holder, side in _sides(notebook, sides):
            held = _held(notebook, holder, side)
            if held is not None:
                raise BadInput(
                    f"side {side} of holder {quoted(holder)} holds {_what(held)}",
                    where="plate",
                    remedy="develop it, or take it off the record with 'plate forget'",
                )
            made.append(
                add_plate(
                    notebook,
                    Plate(holder=holder, side=side, batch=known.name, loaded_at=now),
                )
            )
    return _answer(notebook, made)


def expose_plate(
    notebook: Notebook,
    side: str,
    subject: str,
    *,
    at: datetime,
    exposure_s: float,
    aperture: str | None,
    lens: str | None,
    focus_mark: str,
    distance_m: float | None,
    note: str,
) -> PlateAnswer:
    """Write down the exposure of a loaded side.

    Raises NotFound for an unknown subject or lens, BadInput for a side that is not loaded, that is
    exposed already, an exposure of no time, an aperture the lens does not have, and a bare number
    that means another aperture on one of the kit's lenses where no lens is named.
    """
    from backbearing.notebook.kit import find_lens, load_kit
    from backbearing.notebook.plates import update_plate
    from backbearing.notebook.subjects import find_subject

    if not 0.0 < exposure_s <= 86_400.0:
        raise BadInput("an exposure takes some time, a day at most", where="exposure")
    of = find_subject(notebook, subject)
    glass = None if lens is None else find_lens(notebook, lens)
    number = None
    if aperture is not None and glass is not None:
        number = f_number(aperture, glass, where="--aperture").f_number
    elif aperture is not None:
        lenses = load_kit(notebook).lenses
        number = f_number_on_any(aperture, lenses, where="--aperture").f_number
    with notebook.writing():  # looked up inside: two at once must not both find it loaded
        ((holder, letter),) = _sides(notebook, [side], one=True)
        held = _held(notebook, holder, letter)
        if held is None or held.state == "exposed":
            what = "is not loaded" if held is None else f"is exposed already, on {_day(held)}"
            raise BadInput(
                f"side {letter} of holder {quoted(holder)} {what}",
                where="plate",
                remedy="see 'backbearing plate list'; exposed twice it would hold two pictures",
            )
        done = dataclasses.replace(
            held,
            state="exposed",
            subject_id=of.id,
            exposed_at=at,
            exposure_s=exposure_s,
            f_number=number,
            focus_mark=focus_mark,
            distance_m=distance_m,
            note=note or held.note,
        )
        update_plate(notebook, done)
    return _answer(notebook, [done])


def develop_plate(
    notebook: Notebook,
    side: str,
    *,
    at: datetime,
    shadows: Shadows,
    highlights: Highlights,
    development: Development,
    note: str,
) -> PlateAnswer:
    """Write down how an exposed side came out.

    Raises BadInput for a side without an exposed plate.
    """
    from backbearing.notebook.plates import list_plates, update_plate

    ((holder, letter),) = _sides(notebook, [side], one=True)
    there = [
        plate
        for plate in list_plates(notebook)
        if _same(plate, holder, letter) and plate.state in ("exposed", "developed")
    ]
    if not there:
        raise BadInput(
            f"side {letter} of holder {quoted(holder)} holds no exposed plate",
            where="plate",
            remedy="see 'backbearing plate list'",
        )
    last = there[-1]  # developed again: what was said of it is corrected
    done = dataclasses.replace(
        last,
        state="developed",
        developed_at=at,
        shadows=shadows or last.shadows,
        highlights=highlights or last.highlights,
        development=development or last.development,
        note=note or last.note,
    )
    with notebook.writing():
        update_plate(notebook, done)
    return _answer(notebook, [done])


def plates_on_record(
    notebook: Notebook,
    *,
    state: PlateState | None = None,
    subject: str | None = None,
    batch: str | None = None,
) -> PlateAnswer:
    """The plates on record, by state, subject or batch. Raises NotFound for unknown names."""
    from backbearing.notebook.kit import find_batch
    from backbearing.notebook.plates import list_plates
    from backbearing.notebook.subjects import find_subject

    subject_id = None if subject is None else find_subject(notebook, subject).id
    named = None if batch is None else name_key(find_batch(notebook, batch).name)
    return _answer(
        notebook,
        [
            plate
            for plate in list_plates(notebook, subject_id)
            if (state is None or plate.state == state)
            and (named is None or name_key(plate.batch) == named)
        ],
    )


def forget_plate(notebook: Notebook, number: int) -> str:
    """Move a plate to the bin by its number; how to bring it back. Raises NotFound."""
    from backbearing.notebook.bin import discard

    with notebook.writing():
        deleted = discard(notebook, "plate", number)
    return f"backbearing restore {deleted.id}"


def lesson_of(plate: Plate) -> str:
    """What a plate teaches for the next one, in words; common practice, no source."""
    if plate.state != "developed":
        return ""
    said = []
    if plate.shadows in ("empty", "thin"):
        said.append(SHADOW_LESSONS[plate.shadows])
        if plate.highlights == "blocked":
            said.append("highlights blocked as well: softer light, or less development")
    elif plate.highlights == "blocked":
        full = plate.shadows == "full"
        less = "less development" if plate.development != "pulled" else "softer light"
        said.append(
            f"highlights blocked{' over full shadows' if full else ''}: "
            + (f"half a stop less exposure and {less}" if full else less)
        )
    return f"{'; '.join(said)} ({PRACTICE})" if said else ""


# ---------------------------------------------------------------- sides of holders


def _sides(notebook: Notebook, texts: Sequence[str], *, one: bool = False) -> list[tuple[str, str]]:
    """Holder and side of each text: '3A', '3 a', 'box 2/B'; a holder alone means all its sides."""
    from backbearing.notebook.kit import load_kit

    holders = load_kit(notebook).holders
    found: list[tuple[str, str]] = []
    for text in texts:
        sides = list(_read_side(text, holders))
        if one and len(sides) != 1:
            raise BadInput(
                f"{quoted(text)} has {len(sides)} sides",
                where="plate",
                remedy=f"say which, as '{sides[0][0]}{sides[0][1]}'",
            )
        found += sides
    twice = {side for side in found if found.count(side) > 1}
    if twice:
        holder, letter = sorted(twice)[0]
        raise BadInput(f"side {letter} of holder {quoted(holder)} is named twice", where="plate")
    return found


def _read_side(text: str, holders: Sequence[Holder]) -> list[tuple[str, str]]:
    if not holders:
        raise NotFound(
            "no holder is on record",
            where="plate",
            remedy="'backbearing kit blank' prints a kit file to start from, 'kit take' reads it",
        )
    for holder in holders:
        if name_key(holder.name) == name_key(text):
            return [(holder.name, _letter(i)) for i in range(holder.sides)]
    split = re.fullmatch(r"(.*?)\s*[/,]?\s*([A-Za-z])", text.strip())
    for holder in holders:
        if split and name_key(holder.name) == name_key(split[1]):
            letter = split[2].upper()
            if ord(letter) - ord("A") < holder.sides:
                return [(holder.name, letter)]
            raise BadInput(
                f"holder {quoted(holder.name)} has sides A to {_letter(holder.sides - 1)}",
                where="plate",
            )
    names = ", ".join(quoted(holder.name) for holder in holders[:8])
    raise NotFound(
        f"{quoted(text)} names no holder on record",
        where="plate",
        remedy=f"they are {names}; write '{holders[0].name}A' for a side",
    )


def _letter(index: int) -> str:
    return chr(ord("A") + index)


def _same(plate: Plate, holder: str, side: str) -> bool:
    return name_key(plate.holder) == name_key(holder) and plate.side == side


def _held(notebook: Notebook, holder: str, side: str) -> Plate | None:
    """The plate that a side holds now: loaded or exposed, not yet developed."""
    from backbearing.notebook.plates import list_plates

    for plate in reversed(list_plates(notebook)):
        if _same(plate, holder, side) and plate.state in ("loaded", "exposed"):
            return plate
    return None


def _what(plate: Plate) -> str:
    if plate.state == "exposed":
        return f"a plate exposed on {_day(plate)}"
    return f"a plate of {quoted(plate.batch)} already"


def _day(plate: Plate) -> str:
    return "a day not known" if plate.exposed_at is None else f"{plate.exposed_at:%Y-%m-%d}"


def _answer(notebook: Notebook, plates: Sequence[Plate]) -> PlateAnswer:
    from backbearing.notebook.kit import load_kit
    from backbearing.notebook.plates import list_plates
    from backbearing.notebook.subjects import list_subjects
    from backbearing.places.zones import zone_name
    from backbearing.plans.settings import zone_setting

    setting = zone_setting(notebook)
    subjects = {subject.id: subject for subject in list_subjects(notebook)}
    every = list_plates(notebook)
    full = {
        (name_key(plate.holder), plate.side)
        for plate in every
        if plate.state in ("loaded", "exposed")
    }
    lines = []
    for plate in plates:
        subject = subjects.get(plate.subject_id) if plate.subject_id is not None else None
        zone = setting or "UTC"
        if subject is not None:
            place = subject.place
            zone = zone_name(place.latitude_deg, place.longitude_deg, setting)
        lines.append(
            PlateLine(
                plate=plate,
                subject=subject.name if subject else "",
                lesson=lesson_of(plate),
                zone=zone,
            )
        )
    return PlateAnswer(
        plates=tuple(lines),
        loaded=sum(plate.state == "loaded" for plate in every),
        empty_sides=tuple(
            f"{holder.name}{_letter(i)}"
            for holder in load_kit(notebook).holders
            for i in range(holder.sides)
            if (name_key(holder.name), _letter(i)) not in full
        ),
    )
