"""The sheet of a search's next walk: when, where to look, in which order, and when to stop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.plans.searchlines import FOR_SUBJECTS
from backbearing.saying import phrase, say
from backbearing.writers.page.search import walk_drawn
from backbearing.writers.page.searchwalk import walk_words
from backbearing.writers.search import look_said
from backbearing.writers.searchwalk import last_back, last_find
from backbearing.writers.sheet.paper import Paper, document, picture, safe, table
from backbearing.writers.words import chance_text, clock_on, day_text, duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from backbearing.plans.search import Likely
    from backbearing.plans.search.walkanswer import SearchWalkAnswer
    from backbearing.writers.page.searchwalk import WalkPart, WalkWords

_STOPS = (
    phrase("no."),
    phrase("look through"),
    phrase("walk"),
    phrase("there"),
    phrase("for"),
    phrase("leave"),
    phrase("share"),
    phrase("I would see it"),
    phrase("so far"),
)
_BLANKS = 4  # rows to write looks into
# the page's drawing in tones of grey, drawn within the picture as no style of the sheet reaches it
_GREY = (
    "rect.ground{fill:#fff}.share{stroke:#fff;stroke-width:.6}.half{fill:#8a8a8a}.nine{fill:#c4c4c4}"
    ".rest{fill:#ececec}.looked{fill:none;stroke:#000;stroke-width:1.2;stroke-dasharray:1.5 3}"
    ".water,.wall{fill:none;stroke:#000;stroke-width:1}.wall{stroke-dasharray:6 2}"
    ".casing{fill:none;stroke:#fff;stroke-width:5}"
    ".planned{fill:none;stroke:#000;stroke-width:2.4;stroke-dasharray:7 4}"
    ".start,.passage.unsure,.camera{fill:#fff;stroke:#000;stroke-width:1.6}"
    ".passage.unsure{stroke-dasharray:2 2}.sight{stroke:#000;stroke-width:1}"
    ".north{fill:none;stroke:#000;stroke-width:2}"
    "text{font:700 11px Arial,sans-serif;fill:#000}"
)


def search_sheet_html(search: Likely, walk: SearchWalkAnswer, *, paper: Paper = "A4") -> str:
    """One page: clock times, the drawing, the stops in order, what is remembered and looked at."""
    words = walk_words(walk)
    title = say(
        "Looking for {subject}, {walk_day}", subject=walk.subject, walk_day=day_text(walk.day)
    )
    parts = [
        f"<h1>{safe(title)}</h1>",
        f"<p><b>{safe(walk.missing)}</b></p>" if walk.missing else "",
        _times(walk),
        f"<p>{safe(words.answer)}</p>",
        (
            (f'<div class="two"><div class="map">{_drawing(search, walk)}<p class="small">')
            + say(
                "Dark: half of the chance lies here; middle: nine tenths. Dotted: "
                "looked at, more than 20 % would have been seen. Broken line: the "
                "walk; square: its start; ring with ?: the passage to try; "
                "numbers: places to look through."
            )
            + "</p></div><div>"
        ),
        *(f"<p>{safe(each)}</p>" for each in (*words.says, words.curve)),
        *_remembered(search),
        "</div></div>",
        *(piece for part in words.parts for piece in _part(part)),
        ("<h2>" + say("Looked at") + "</h2>"),
        table(
            (
                say("from"),
                say("to"),
                say("where"),
                say("found or not"),
                say("passage"),
                say("snow, light, remark"),
            ),
            [[""] * 6] * _BLANKS,
            kind="blank",
        ),
        _rests(words),
    ]
    return document(title, "\n".join(parts), paper)


def _times(walk: SearchWalkAnswer) -> str:
    """The clock of this walk, in its order; the same instants as its sentences tell."""
    told = [(say("leave"), walk.leave, walk.start_name)]
    if walk.trying is not None:
        told.append((say("try"), walk.trying.at, walk.trying.name))
    find_by = last_find(walk)
    if find_by is not None:
        told.append((say("find it by"), find_by, say("to set up and expose in the light")))
    if walk.fallback is not None and walk.look_until is not None:
        to = say(
            "for {subject}, {walk} on foot",
            subject=walk.fallback.subject,
            walk=duration_text(walk.fallback.walk_s),
        )
        told.append((say("leave off by"), walk.look_until, to))
    at = say("at {start_name}, slowly", start_name=walk.start_name)
    told.append((say("not found, back by"), last_back(walk), at))
    if walk.back_if_found is not None:
        told.append((say("found, back by"), walk.back_if_found, at))
    told.sort(key=lambda each: each[1])
    cells = "".join(
        f"<div>{safe(what)}<b>{safe(clock_on(when, walk.zone, walk.day))}</b>"
        f"<span>{safe(remark)}</span></div>"
        for what, when, remark in told
    )
    return f'<div class="six">{cells}</div>'


def _drawing(search: Likely, walk: SearchWalkAnswer) -> str:
    svg = walk_drawn(search, walk)
    svg = svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    svg = svg.replace(">", f"><style>{_GREY}</style>", 1)
    return picture(svg, say("The next walk that looks for {subject}", subject=walk.subject))


def _remembered(search: Likely) -> Iterator[str]:
    yield ("<h2>" + say("Remembered") + "</h2>")
    yield table(
        (say("what"), say("sure")), [(each.words, chance_text(each.sure)) for each in search.clues]
    )
    if search.sides:
        yield f"<p>{safe(say('Left and right of {sides}.', sides=search.sides))}</p>"
    if search.crossing is not None:
        yield f"<p>{safe(search.crossing.words)}</p>"
    yield from (f"<p>{safe(each)}</p>" for each in search.remarks)
    if search.looks:
        yield ("<h2>" + say("Looked before") + "</h2>")
        yield from (f"<p>{safe(look_said(look))}</p>" for look in search.looks)
    yield (
        "<p>"
        + say(
            "Elsewhere {elsewhere}, gone {gone}.",
            elsewhere=safe(chance_text(search.elsewhere)),
            gone=safe(chance_text(search.gone)),
        )
        + "</p>"
    )


def _part(part: WalkPart) -> Iterator[str]:
    yield f"<h2>{safe(part.before or say('The walk'))}</h2>"
    if part.stops:
        yield table(tuple(map(say, _STOPS)), [stop[:-1] for stop in part.stops])
    if part.after:
        yield f"<p>{safe(part.after)}</p>"


def _rests(words: WalkWords) -> str:
    said = say(
        "{for_subjects} {cautions} Rests on: {rests_on}.",
        for_subjects=say(FOR_SUBJECTS),
        cautions=words.cautions,
        rests_on=words.rests_on,
    )
    return f'<p class="small">{safe(said)}</p>'
