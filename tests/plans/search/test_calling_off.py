"""When looking is called off: it was found, or is likelier gone or elsewhere by now than here."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.plans.search.test_search_walk import ask, open_ground
from tests.plans.test_approach import bare, level

from backbearing.errors import BadInput
from backbearing.models.likelihood import after_looking
from backbearing.notebook import Notebook
from backbearing.notebook.search import add_look
from backbearing.notebook.subjects import find_subject
from backbearing.plans.search import where_likely
from backbearing.records import Look
from backbearing.writers.search import likely_text

__all__ = ["bare", "level", "open_ground"]  # fixtures


def test_a_few_good_looks_call_it_off(open_ground: Notebook) -> None:
    """Each look would have seen it with 60 %, wherever it stands on the ground."""
    likely = where_likely(open_ground, "hut")
    away = []
    for looks in range(6):
        assert likely.give_it_up == (likely.elsewhere + likely.gone > 0.5)
        assert ("think it over" in likely_text(likely)) == likely.give_it_up
        away.append(likely.elsewhere + likely.gone)
        if looks == 0:
            assert not likely.give_it_up
        left = after_looking(likely.shares, np.full(likely.share.shape, 0.6))
        likely = replace(likely, share=left.pieces, elsewhere=left.elsewhere, gone=left.gone)
    assert away == sorted(away)
    # neither alone has to be likelier than here: both together after the third or fourth look
    first = next(number for number, chance in enumerate(away) if chance > 0.5)
    assert 2 <= first <= 4


def test_what_was_found_is_no_more_looked_for(open_ground: Notebook) -> None:
    subject = find_subject(open_ground, "hut")
    assert ask(open_ground).stops
    with open_ground.writing():
        add_look(open_ground, Look(subject_id=subject.id, found=True))
    assert where_likely(open_ground, "hut").answer.startswith("found")
    with pytest.raises(BadInput, match="was found"):
        ask(open_ground)
