"""A page's other days, drawn once and kept with what they rest on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from backbearing.notebook import Notebook
    from backbearing.plans.page import ReturnPage


def drawn_other_days(
    notebook: Notebook,
    page: ReturnPage,
    asked: Mapping[str, Any],
    *,
    progress: Callable[[str], None] | None = None,
) -> str:
    """The other days of a page as `render_page` takes them; '' where none can be chosen.

    asked: as `ask_page` takes it. Raises NotebookError.
    """
    from backbearing.plans.kept import kept
    from backbearing.plans.otherdays import other_days, rests_on
    from backbearing.plans.pageasked import OF_A_SEARCH
    from backbearing.writers.page.otherdays import draw_other_days, drawn_by

    if not page.chosen:
        return ""
    tell = progress or (lambda line: None)
    of_day = {key: each for key, each in asked.items() if key not in ("first", *OF_A_SEARCH)}
    typed = sorted((key, each) for key, each in of_day.items() if each is not None)
    return kept(
        notebook,
        "other days",
        (*drawn_by(), typed, *rests_on(page)),
        lambda: draw_other_days(page, other_days(notebook, page, of_day, progress=tell)),
    )
