"""The words of `check`: faults first, one line each, names made safe."""

from pathlib import Path

from backbearing.records import Finding
from backbearing.writers.check import verdict


def finding(grade: str, what: str) -> Finding:
    return Finding(grade=grade, where="subjects, row 1", what=what, remedy="mend it")  # type: ignore[arg-type]


def test_faults_stand_before_remarks_and_the_sum_last() -> None:
    lines = verdict(
        Path("n.gpkg"),
        [finding("remark", "b"), finding("fault", "a\x1b\n"), finding("fault", "c")],
        {},
    ).splitlines()
    assert lines == [
        "fault: subjects, row 1: a� ; mend it",
        "fault: subjects, row 1: c; mend it",
        "remark: subjects, row 1: b; mend it",
        "n.gpkg: 2 faults, 1 remark",
    ]


def test_all_well_says_what_is_on_record() -> None:
    assert verdict(Path("n.gpkg"), [], {"tracks": 2, "camera_positions": 1, "notes": 0}) == (
        "n.gpkg: nothing wrong (2 tracks, 1 camera positions)"
    )
    assert verdict(Path("n.gpkg"), [], {"tracks": 0}) == (
        "n.gpkg: nothing wrong (nothing on record yet)"
    )
