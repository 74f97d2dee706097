"""What an import says: faults summed up by kind, and safe to print whatever a file says."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from backbearing.plans.intake import FileReport, IntakeReport
from backbearing.records import Fault
from backbearing.writers.intake import intake_json, intake_text


def report(*files: FileReport) -> IntakeReport:
    return IntakeReport(notebook="notebook.gpkg", dry_run=False, files=files)


def test_many_faults_are_one_line_with_their_number_and_the_first_lines() -> None:
    faults = [Fault(line=n, field="ele", what="is empty", action="dropped") for n in range(10, 60)]
    faults.append(Fault(line=60, field="ele", what="is empty", action="dropped", count=950))
    text = intake_text(
        report(FileReport(path="walk.gpx", kind="gpx", outcome="stored", faults=tuple(faults)))
    )
    (line,) = (line for line in text.splitlines() if "ele" in line)
    assert line.strip().startswith("dropped 1,000 × ele (line 10: is empty; line 11: is empty")
    assert line.endswith("…)")


@given(st.text(max_size=40), st.text(max_size=40))
def test_nothing_a_file_says_reaches_the_terminal_raw(path: str, why: str) -> None:
    files = (
        FileReport(path=path, kind="gpx", outcome="refused", why=why),
        FileReport(path=path, kind="gpx", outcome="stored"),
        FileReport(path=path, kind="gpx", outcome="already on record", in_bin=(3,)),
    )
    for line in intake_text(report(*files)).split("\n"):
        assert not any(ord(ch) < 32 or 0x7F <= ord(ch) < 0xA0 for ch in line)


def test_json_counts_the_outcomes() -> None:
    files = [
        FileReport(path="a", kind="gpx", outcome="stored"),
        FileReport(path="b", kind="gpx", outcome="refused", why="b: is empty"),
    ]
    told = intake_json(report(*files))
    assert isinstance(told, dict)
    assert (told["stored"], told["refused"], told["all_good"]) == (1, 1, False)


def test_files_not_reached_are_named_with_what_stood_in_the_way() -> None:
    text = intake_text(
        report(
            FileReport(path="a.gpx", kind="gpx", outcome="stored"),
            FileReport(path="b.gpx", kind="gpx", outcome="not reached", why="there is no room"),
            FileReport(path="c.gpx", kind="gpx", outcome="not reached"),
        )
    )
    assert text.splitlines()[1:] == [
        "not reached  b.gpx: nothing of that file is on record, as there is no room",
        "not reached  c.gpx",
        "3 files: 1 stored, 2 not reached; in notebook.gpkg",
    ]
