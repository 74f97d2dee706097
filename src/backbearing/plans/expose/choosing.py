"""Which batch and which camera position are meant: those named, else what is on record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotFound, quoted

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Batch, CameraPosition, Subject

NO_BATCH = (
    "no emulsion batch is on record: 'backbearing kit blank' prints a file to fill in with its "
    "emulsion and tested speed, 'backbearing kit take FILE' reads it"
)


def batch_to_use(notebook: Notebook, name: str | None, *, needed: bool = False) -> Batch | None:
    """The batch of a name, or the only one; None where there is none and none is needed.

    Raises NotFound for an unknown one, BadInput where several might be meant.
    """
    from backbearing.notebook.kit import find_batch, load_kit

    if name:
        return find_batch(notebook, name)
    batches = load_kit(notebook).batches
    if len(batches) == 1:
        return batches[0]
    if batches:
        raise BadInput(
            "several batches are on record",
            where="--batch",
            remedy=f"name one of {', '.join(batch.name for batch in batches[:6])}",
        )
    if needed:
        raise NotFound(NO_BATCH.split(":")[0], remedy=NO_BATCH.split(": ")[1])
    return None


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
        f"no camera position is called {quoted(name)}", where=where, remedy=f"on record: {have}"
    )
