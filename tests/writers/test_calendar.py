"""Calendar files: RFC 5545's own rules, read back by icalendar."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from backbearing.plans.taking import CalendarAlarm, CalendarEntry
from backbearing.writers.calendar import calendar_text

NOW = datetime(2026, 11, 25, 9, tzinfo=UTC)
OPENS = datetime(2026, 11, 28, 14, 3, tzinfo=UTC)


def entry(words: str = "winding house", key: str = "a") -> CalendarEntry:
    return CalendarEntry(
        key=key,
        start=OPENS,
        end=OPENS + timedelta(minutes=40),
        summary=f"{words}: side-lit from the left",
        description=f"± 12 min\n{words}",
        latitude_deg=47.0032,
        longitude_deg=-21.0005,
        alarms=(
            CalendarAlarm(at=OPENS - timedelta(hours=2), words=f"leave for {words}"),
            CalendarAlarm(at=OPENS + timedelta(hours=1), words="turn back"),
        ),
    )


def test_an_entry_is_read_back_with_its_reminders() -> None:
    calendar = Calendar.from_ical(calendar_text([entry()], written_at=NOW))
    (event,) = calendar.walk("VEVENT")
    assert event.decoded("dtstart") == OPENS
    assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(minutes=40)
    assert str(event["summary"]) == "winding house: side-lit from the left"
    assert "\n" in str(event["description"])
    alarms = event.walk("VALARM")
    assert [alarm.decoded("trigger") for alarm in alarms] == [
        *(OPENS - timedelta(hours=2), OPENS + timedelta(hours=1)),
    ]
    assert {str(alarm["action"]) for alarm in alarms} == {"DISPLAY"}


def test_the_same_thing_has_the_same_uid_and_another_another() -> None:
    def uids(*entries: CalendarEntry, at: datetime = NOW) -> list[str]:
        calendar = Calendar.from_ical(calendar_text(entries, written_at=at))
        return [str(event["uid"]) for event in calendar.walk("VEVENT")]

    first = uids(entry(), entry(key="b"))
    assert len(set(first)) == 2
    assert uids(entry("winding house, renamed"), at=NOW + timedelta(days=1)) == first[:1]


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=200))
def test_lines_obey_the_rules_whatever_is_written(words: str) -> None:
    """RFC 5545, 3.1: CRLF, at most 75 octets; no name makes a property or a line of its own."""
    text = calendar_text([entry(words)], written_at=NOW)
    raw = text.encode()
    lines = raw.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 for line in lines)
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert b"\r" not in raw.replace(b"\r\n", b"")
    for line in lines:
        line.decode()  # no character is cut in two
    (event,) = Calendar.from_ical(text).walk("VEVENT")
    assert len(event.walk("VALARM")) == 2
    assert set(event) == {
        *("UID", "DTSTAMP", "LAST-MODIFIED", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION"),
        *("GEO", "TRANSP"),
    }
