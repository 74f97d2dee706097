"""Which batch, lens and camera position are meant: those named, else what is on record."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotFound, quoted
from backbearing.models.exposure import bellows_stops
from backbearing.places.words import metres_text
from backbearing.saying import phrase, say

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Batch, CameraPosition, Kit, Lens, Subject

SEVERAL_BATCHES = phrase("several batches are on record")
NO_BATCH = phrase(
    "no emulsion batch is on record: 'backbearing kit blank' prints a "
    "file to fill in with its emulsion and tested speed, 'backbearing "
    "kit take FILE' reads it"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenBatch:
    """A batch and why this one, or none and what to do about it."""

    batch: Batch | None
    basis: str = ""  # "loaded"; '' where it was named or is the only one
    advice: str = ""


def choose_batch(notebook: Notebook, name: str | None) -> ChosenBatch:
    """The batch of a name, else the only one, else that of which most plates are loaded.

    Raises NotFound for an unknown one.
    """
    from backbearing.notebook.kit import find_batch, load_kit
    from backbearing.notebook.plates import list_plates

    if name:
        return ChosenBatch(batch=find_batch(notebook, name))
    batches = load_kit(notebook).batches
    if len(batches) == 1:
        return ChosenBatch(batch=batches[0])
    if not batches:
        return ChosenBatch(batch=None, advice=say(NO_BATCH))
    known = {batch.name.casefold(): batch for batch in batches}
    loaded = Counter(
        plate.batch.casefold() for plate in list_plates(notebook) if plate.state == "loaded"
    )
    most = [batch for batch in loaded.most_common() if batch[0] in known]
    if most and (len(most) == 1 or most[0][1] > most[1][1]):
        return ChosenBatch(batch=known[most[0][0]], basis="loaded")
    names = ", ".join(batch.name for batch in batches[:6])
    return ChosenBatch(
        batch=None,
        advice=say(
            "{several_batches}: name one of {names} with --batch for the seconds",
            several_batches=say(SEVERAL_BATCHES),
            names=names,
        ),
    )


def batch_to_use(notebook: Notebook, name: str | None) -> Batch:
    """As `choose_batch`, where one is needed. Raises NotFound where none is on record, and
    BadInput where several might be meant.
    """
    chosen = choose_batch(notebook, name)
    if chosen.batch is None:
        what, _, remedy = chosen.advice.partition(": ")
        if chosen.advice == say(NO_BATCH):
            raise NotFound(what, remedy=remedy)
        raise BadInput(what, where="--batch", remedy=remedy)
    return chosen.batch


def lens_for_bellows(kit: Kit, named: Lens | None) -> Lens | None:
    """The lens whose bellows count: the one named, else the only one on record."""
    return named or (kit.lenses[0] if len(kit.lenses) == 1 else None)


def bellows_words(kit: Kit, lens: Lens | None, distance_m: float | None) -> str:
    """What is said of the bellows, '' where they count and for a subject of unknown distance."""
    if distance_m is None or lens is not None:
        return ""
    if not kit.lenses:
        return say(
            "bellows for {distance} not counted: no lens is on record",
            distance=metres_text(distance_m),
        )
    longest = max(kit.lenses, key=lambda each: each.focal_mm)
    if distance_m * 1000.0 <= longest.focal_mm:
        return say(
            "bellows for {distance} not counted: name the lens with --lens",
            distance=metres_text(distance_m),
        )
    stops = bellows_stops(longest.focal_mm, distance_m)
    return say(
        "bellows for {distance} not counted, no lens being named: {stops:.1f} stop with {longest}",
        distance=metres_text(distance_m),
        stops=stops,
        longest=quoted(longest.name),
    )


def camera_of(
    notebook: Notebook, subject: Subject, name: str | None, *, where: str
) -> CameraPosition | None:
    """The camera position of a name; None where none is named. Raises NotFound."""
    from backbearing.notebook.subjects import list_camera_positions

    if not name:
        return None
    found = list_camera_positions(notebook, subject.id)
    for each in found:
        if each.name.casefold() == name.strip().casefold():
            return each
    have = ", ".join(quoted(each.name) for each in found) or "none"
    raise NotFound(
        say("no camera position is called {name}", name=quoted(name)),
        where=where,
        remedy=say("on record: {have}", have=have),
    )
