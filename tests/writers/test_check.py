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
    counts = {"tracks": 2, "waypoints": 1, "camera_positions": 1, "notes": 0}
    assert verdict(Path("n.gpkg"), [], counts) == (
        "n.gpkg: nothing wrong (2 tracks, 1 waypoint, 1 camera position)"
    )
    assert verdict(Path("n.gpkg"), [], {"subjects": 1200, "originals": 1, "bin": 1}) == (
        "n.gpkg: nothing wrong (1,200 subjects, 1 file kept, 1 in the bin)"
    )
    assert verdict(Path("n.gpkg"), [], {"tracks": 0}) == (
        "n.gpkg: nothing wrong (nothing on record yet)"
    )
