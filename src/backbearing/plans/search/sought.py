"""What is looked for is no place to go by: until it is found, its place on record is a guess."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.errors import BadInput, quoted
from backbearing.saying import say

if TYPE_CHECKING:
    from backbearing.plans.locate import Located
    from backbearing.records import Subject


def refuse_sought(named: Located, subject: Subject, where: str) -> None:
    """Raises BadInput where a place named is the subject that is looked for."""
    if named.subject is not None and named.subject.id == subject.id:
        raise BadInput(
            say("{name} is what is looked for", name=quoted(named.name)),
            where=where,
            remedy=say("name a place that is known"),
        )
