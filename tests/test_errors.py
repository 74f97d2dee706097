"""Errors say what is wrong, where and what to do, in one printable sentence."""

import inspect

from hypothesis import given
from hypothesis import strategies as st

from backbearing import errors
from backbearing.errors import BackbearingError, BadFile, BadInput, NotebookError, NotFound, quoted


def test_a_sentence_names_place_fault_and_remedy() -> None:
    error = BadInput("latitude 97 is beyond 90", where="--at", remedy="swap the two numbers")
    assert str(error) == "--at: latitude 97 is beyond 90; swap the two numbers"


def test_a_file_error_names_the_line() -> None:
    assert str(BadFile("no usable point", path="walk.gpx", line=12)) == (
        "walk.gpx, line 12: no usable point"
    )


def test_bad_input_exits_2_and_failures_exit_1() -> None:
    assert (BadInput("x").exit_code, BadFile("x").exit_code, NotFound("x").exit_code) == (2, 2, 2)
    assert NotebookError("x").exit_code == 1


def test_every_error_has_the_one_root_and_a_natural_builtin_beside_it() -> None:
    found = [
        cls
        for _, cls in inspect.getmembers(errors, inspect.isclass)
        if cls.__module__ == errors.__name__ and cls is not BackbearingError
    ]
    assert found
    for cls in found:
        assert issubclass(cls, BackbearingError)
        assert issubclass(cls, ValueError | LookupError | OSError)


def test_the_tree_is_drawn_in_the_docstring() -> None:
    drawn = errors.__doc__ or ""
    for name, cls in inspect.getmembers(errors, inspect.isclass):
        if cls.__module__ == errors.__name__:
            assert name in drawn


@given(st.text())
def test_text_from_outside_is_printable_short_and_quoted(text: str) -> None:
    shown = quoted(text)
    assert shown.isprintable()
    assert len(shown) <= 62
    assert shown[0] == shown[-1] == "'"
