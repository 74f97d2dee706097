"""`mark --date`: the day of the record is kept with it, on the clock of the place."""

from datetime import UTC, date, datetime
from pathlib import Path

from tests.fieldwork import BEGAN, field_notebook

from backbearing.notebook.subjects import list_notes
from backbearing.plans.marking import Remarks, mark

NOW = datetime(2026, 10, 1, 12, tzinfo=UTC)
AT = "47.0100 N 21.0100 W"  # at sea: the notebook's clock, the Azores'


def test_a_day_alone_is_kept_at_midday_there(tmp_path: Path) -> None:
    with field_notebook(tmp_path / "n.gpkg") as notebook:
        answer = mark(notebook, "arch", AT, on=date(2026, 3, 14), now=NOW)
    assert answer.subject.marked_at == datetime(2026, 3, 14, 13, tzinfo=UTC)


def test_today_and_no_day_are_kept_to_the_minute(tmp_path: Path) -> None:
    with field_notebook(tmp_path / "n.gpkg") as notebook:
        assert mark(notebook, "arch", AT, now=NOW).subject.marked_at == NOW
        assert mark(notebook, "hut", AT, on=NOW.date(), now=NOW).subject.marked_at == NOW


def test_the_time_on_a_track_goes_before_the_day(tmp_path: Path) -> None:
    with field_notebook(tmp_path / "n.gpkg") as notebook:
        answer = mark(notebook, "arch", "track 1 at 13:10", on=date(2026, 3, 14), now=NOW)
    assert answer.subject.marked_at == BEGAN.replace(minute=10)


def test_a_remark_with_a_further_camera_position_is_of_that_day(tmp_path: Path) -> None:
    with field_notebook(tmp_path / "n.gpkg") as notebook:
        mark(notebook, "arch", AT, now=NOW)
        mark(
            notebook,
            "arch",
            AT,
            camera_position="leat",
            remarks=Remarks(note="the sluice is open"),
            on=date(2026, 3, 14),
            now=NOW,
        )
        (note,) = list_notes(notebook)
    assert note.written_at == datetime(2026, 3, 14, 13, tzinfo=UTC)
