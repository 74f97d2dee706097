"""Which batch is meant: the one named, else the only one on record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.errors import BadInput, NotFound

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.records import Batch

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
