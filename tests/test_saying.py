"""The one table of texts: it holds what the sources say, and another language can stand for it."""

from __future__ import annotations

import ast
from pathlib import Path
from string import Formatter

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from click.testing import CliRunner

from backbearing.cli.main import main
from backbearing.errors import BadInput
from backbearing.places.days import short_month, weekday
from backbearing.places.words import metres_text
from backbearing.saying import DOMAIN, Language, languages, say, say_n, speaking, spoken
from backbearing.writers.words import day_text
from tests.pseudo import pseudo_language
from tests.texts import SOURCES, table_of_sources, table_on_record, texts_in

Texts = dict[str | tuple[str, ...], str | tuple[str, ...]]


def language(folder: Path, code: str, texts: Texts) -> Language:
    """A language of a few texts, its catalogue written into a folder."""
    catalogue = Catalog(locale=code, charset="utf-8", fuzzy=False)
    for english, said in texts.items():
        catalogue.add(english, said)
    target = folder / code / "LC_MESSAGES"
    target.mkdir(parents=True)
    with (target / f"{DOMAIN}.mo").open("wb") as file:
        write_mo(file, catalogue)
    return Language(code=code, folder=folder)


def test_the_table_is_in_step_with_the_sources() -> None:
    ours, theirs = texts_in(table_on_record()), texts_in(table_of_sources())
    assert ours == theirs, f"`make texts` writes it anew; {sorted(map(str, ours ^ theirs))[:5]}"


def test_fields_of_the_table_are_named_and_forms_of_a_count_share_them() -> None:
    for text in texts_in(table_on_record()):
        for form in (text,) if isinstance(text, str) else text:
            if "{" in form:
                names = {name for _, name, _, _ in Formatter().parse(form) if name is not None}
                assert all(name.isidentifier() for name in names), form


def test_nothing_is_said_while_a_module_loads() -> None:
    """A language is chosen later: what is said at load would stay English."""
    for path in SOURCES.rglob("*.py"):
        waiting: list[ast.AST] = [ast.parse(path.read_text(encoding="utf-8"))]
        while waiting:
            node = waiting.pop()
            if isinstance(node, ast.FunctionDef | ast.Lambda):
                continue
            name = getattr(getattr(node, "func", None), "id", "")
            assert name not in ("say", "say_n"), f"{path}, line {getattr(node, 'lineno', 0)}"
            waiting += ast.iter_child_nodes(node)


def test_english_is_the_key_and_stands_where_nothing_else_does(tmp_path: Path) -> None:
    there = say("{minutes} min on foot from {place}", minutes=20, place="{arch}")
    assert there == "20 min on foot from {arch}"
    german = language(
        tmp_path,
        "de",
        {
            "{minutes} min on foot from {place}": "von {place} {minutes} min zu Fuß",
            ("{number} walk", "{number} walks"): ("{number} Gang", "{number} Gänge"),
            "{weekday} {day} {month}": "{weekday}, {day}. {month}",
            "Sunday": "Sonntag",
            "Oct": "Okt.",
            "1.5": "1,5",
            "2,000": "2.000",
        },
    )
    assert languages(tmp_path) == ["en", "de"]
    with speaking(german):
        assert spoken() == german
        said = say("{minutes} min on foot from {place}", minutes=20, place="{arch}")
        assert said == "von {arch} 20 min zu Fuß"
        walks = [say_n("{number} walk", "{number} walks", count) for count in (1, 2)]
        assert walks == ["1 Gang", "2 Gänge"]
        assert say("no such text: {x:.1f}, {n:,}", x=2.25, n=1234) == "no such text: 2,2, 1.234"
        assert metres_text(1234.0) == "1,2 km"
        from datetime import date

        sunday = date(2026, 10, 18)
        assert (weekday(sunday), short_month(sunday)) == ("Sonntag", "Okt.")
        assert day_text(sunday) == "Sun, 18. Okt. 2026"
    assert spoken().code == "en"
    assert say("{x:.1f}", x=2.25) == "2.2"


@pytest.mark.parametrize("said", ["{minutes} min", "{0} min", "{minuten"])
def test_a_translation_with_other_fields_is_refused(tmp_path: Path, said: str) -> None:
    strange = language(tmp_path, "de", {"{hours} h": said})
    with pytest.raises(BadInput, match="other fields than the English"), speaking(strange):
        pass


def test_markup_in_a_translation_is_refused(tmp_path: Path) -> None:
    strange = language(tmp_path, "de", {"Map": "<script>alert(1)</script>"})
    with pytest.raises(BadInput, match="a sign of markup"), speaking(strange):
        pass


def test_a_language_without_a_catalogue_names_those_there_are(tmp_path: Path) -> None:
    asked = ["--notebook", str(tmp_path / "own.gpkg"), "setting", "language"]
    refused = CliRunner().invoke(main, [*asked, "../../etc"])
    assert refused.exit_code != 0
    assert isinstance(refused.exception, BadInput)
    assert "the languages are: en; DEVELOPERS.md says how to add one" in str(refused.exception)
    assert CliRunner().invoke(main, [*asked, "en"]).exit_code == 0


def test_the_pseudo_language_has_every_text(tmp_path: Path) -> None:
    with speaking(pseudo_language(tmp_path)):
        assert say("Next good light") == "Ｎｅｘｔ ｇｏｏｄ ｌｉｇｈｔ"
        assert say("not in the table") == "not in the table"
