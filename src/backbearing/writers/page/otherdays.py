"""What the page holds of other days, drawn as the planned one and packed small.

One text: JSON, deflated, in base64. The page's script unpacks it and puts a chosen day's own
clocks, legs and seconds where those of the planned day stand.
"""

from __future__ import annotations

import base64
import json
import zlib
from html import escape
from typing import TYPE_CHECKING, Any

from backbearing.writers.apart import apart, names_apart
from backbearing.writers.expose import range_text
from backbearing.writers.named import page_names
from backbearing.writers.page.chosen import pair
from backbearing.writers.page.exposures import course_words
from backbearing.writers.page.outing import day_words
from backbearing.writers.page.render import DAY_TEMPLATES, own_text, template

if TYPE_CHECKING:
    from backbearing.plans.exposeddays import ExposedDay
    from backbearing.plans.otherdays import OtherDays
    from backbearing.plans.page import ReturnPage


def drawn_by() -> tuple[str, ...]:
    """The templates that other days are drawn by: they change with these."""
    return tuple(map(own_text, DAY_TEMPLATES))


def draw_other_days(page: ReturnPage, days: OtherDays) -> str:
    """The other days of a page for `render_page`: the same days give the same text."""
    six, legs, course = map(template, DAY_TEMPLATES)
    texts: dict[str, int] = {}
    many = page.tripod is not None and len(page.tripod.courses) > 1
    with names_apart(page_names(page)):
        found: dict[str, Any] = {"six": {}, "says": {}, "legs": {}, "courses": [], "seconds": []}
        for answer in days.outings:
            at = str((answer.day - page.start).days)
            words = day_words(page, answer)
            found["six"][at] = six.render(outing=words)
            found["says"][at] = escape(apart(words.answer))
            found["legs"][at] = legs.render(outing=words)
        for exposed in days.exposed:
            found["seconds"].append({str(one.day): _seconds(one, texts) for one in exposed})
            found["courses"].append(
                {
                    str(one.day): course.render(c=course_words(one.course), many=many)
                    for one in exposed
                    if one.course is not None
                }
            )
    found["texts"] = list(texts)
    packed = zlib.compress(json.dumps(found, ensure_ascii=False).encode("utf-8"), 9)
    return base64.b64encode(packed).decode("ascii")


def _seconds(exposed: ExposedDay, texts: dict[str, int]) -> str:
    """A day's seconds as [clock, clear, overcast] …, by their words' numbers."""
    return "".join(
        pair(each.clock_min)
        + "".join(pair(texts.setdefault(range_text(one), len(texts))) for one in each.seconds)
        for each in exposed.minutes
    )
