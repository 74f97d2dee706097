"""The demo's page and sheet in a language that is none: each letter must come from the table.

What is left in plain letters is the user's own (names, notes, files, what an error was said to
rest on), a unit, a point of the compass or a reference.
"""

from __future__ import annotations

import base64
import json
import re
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from tests.pseudo import pseudo_language, texts_of, words_on_record

from backbearing.cli.main import main
from backbearing.saying import speaking

pytestmark = pytest.mark.browser

UNITS = ("m", "km", "mm", "h", "min", "s", "lx", "kg", "ISO", "EV", "UTC", "f", "x")
WINDS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW")
SIGNS = (*UNITS, *WINDS, "NW", "NNW", "T", "M", "A", "B")  # of a bearing, of a holder's sides
GRID = re.compile(r"\b\d\d[C-X]\b|\b[A-Z]{2} \d{4,5} \d{4,5}\b|\{\w+\}")  # and a script's fields
# of the page's data, not shown: keys, tables packed in letters, commands
KEYS = (
    *("anchor", "iso", "kind", "id", "sign", "subject", "day", "iso"),
    *("sun", "tones", "seconds", "expose", "plan"),
)
ASKED = ("winding house", "--date", "2026-12-22", "--back-by", "16:00")


@pytest.fixture(scope="module")
def spoken(island: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Path]]:
    """Run a command that makes a file for `winding house`, in the pseudo language."""
    folder = tmp_path_factory.mktemp("spoken")
    language = pseudo_language(folder)
    patch = pytest.MonkeyPatch()
    patch.setattr("backbearing.plans.settings.in_language", lambda notebook: speaking(language))

    def make(command: str) -> Path:
        out = folder / f"{command}.html"
        asked = ["--notebook", str(island / "island.gpkg"), command, *ASKED, "--out", str(out)]
        done = CliRunner().invoke(main, asked, catch_exceptions=False)
        assert done.exit_code == 0, done.output
        return out

    yield make
    patch.undo()


def left_plain(texts: list[str], own: list[str]) -> list[str]:
    """The texts that hold a word neither of the table nor of what is let through."""
    found = []
    for text in dict.fromkeys(texts):
        rest = text
        for word in [*own, *(f"{one[:end]}…" for one in own for end in range(3, len(one)))]:
            if word in rest:
                rest = re.sub(rf"(?<![A-Za-z]){re.escape(word)}(?![A-Za-z])", "·", rest)
        if set(re.findall("[A-Za-z]+", GRID.sub("·", rest))) - set(SIGNS):
            found.append(text)
    return found


def marks_translated(html: str) -> list[str]:
    """The tags of which a name, class or link came from the table: no style would know them."""
    tags = re.findall(r"<[a-z][^<>]*>", html)
    read_out = "aria-label|aria-valuetext|title|alt|placeholder|label|value"
    shown = f"{read_out}|data-is|data-copied|data-marked"
    return [t for t in tags if re.search("[Ａ-Ｚａ-ｚ]", re.sub(rf'(?:{shown})="[^"]*"', "", t))]


def strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from (s for key, each in value.items() if key not in KEYS for s in strings(each))
    elif isinstance(value, list):
        yield from (s for each in value for s in strings(each))


def test_every_text_of_the_page_and_the_sheet_is_in_the_table(
    spoken: Callable[..., Path], island: Path, browser: Any
) -> None:
    own = words_on_record(island / "island.gpkg")
    sheet = spoken("sheet").read_text(encoding="utf-8")
    said = texts_of(sheet)
    for drawing in re.findall(r'data:image/svg\+xml;base64,([^"]+)', sheet):
        said += texts_of(base64.b64decode(drawing).decode())
    file = spoken("map")
    html = file.read_text(encoding="utf-8")
    assert '<html lang="qps">' in html
    said += texts_of(html)
    assert marks_translated(sheet) == []
    assert "\n".join(marks_translated(html)) == ""
    data = re.search(r'id="return-data">(.*?)</script>', html, re.DOTALL)
    assert data
    read = json.loads(data[1])
    del read["texts"]  # from the English to what is said
    others = json.loads(zlib.decompress(base64.b64decode(read["chosen"].pop("others"))))
    drawn = [*others["six"].values(), *others["legs"].values()]
    drawn += [each for course in others["courses"] for each in course.values()]
    assert len(drawn) > 100
    for each in drawn:
        said += texts_of(each)
    assert marks_translated("".join(drawn)) == []
    said += [*others["says"].values(), *others["texts"]]
    said += [*strings(read), *strings(list(read["chosen"]["words"].values()))]
    page = browser.new_context(offline=True).new_page()
    page.goto(file.as_uri())
    page.click("#bar [data-step='day 1']")  # the scripts' own texts
    page.click("#map_return", position={"x": 200, "y": 200})
    said += [page.inner_text(f"#{part}") for part in ("bar-says", "readout", "map_return")]
    page.context.close()
    assert len(said) > 800
    assert left_plain(said, own) == []
