"""Whom those at home call when the walker is overdue."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.errors import BadInput
from backbearing.plans.settings import call_setting

if TYPE_CHECKING:
    from backbearing.notebook import Notebook


def whom_to_call(notebook: Notebook, typed: str | None) -> str:
    """Whom to call when overdue, with the number: as typed, else the notebook's setting.

    Raises BadInput where there is neither: a message that leaves it to others to look up the
    number is no help.
    """
    call = (typed if typed is not None else call_setting(notebook) or "").strip()
    if not call:
        raise BadInput(
            "no one to call when you are overdue is given",
            where="--call",
            remedy="name whom and the number, or keep it with "
            "'backbearing setting call \"coast guard, 112\"'",
        )
    return call
