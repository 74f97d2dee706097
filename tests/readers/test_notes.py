"""Field notes: every item of the card is read, nothing of a line is lost, nothing is refused."""

import re
import unicodedata
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from backbearing.errors import BadFile
from backbearing.readers.noteitems import FIELDS
from backbearing.readers.notes import MOST_BYTES, NoteLine, read_notes

AUTUMN = date(2026, 10, 1)


def read(text: str, *names: str) -> list[NoteLine]:
    return list(read_notes(text.encode(), latest=AUTUMN, names=names).lines)


def one(text: str, *names: str) -> dict[str, str]:
    """The items of a single line, several of one field joined."""
    (line,) = read(text, *names)
    assert line.kept == (), f"not understood: {line.kept}"
    assert line.problems == ()
    return {field: "; ".join(line.all(field)) for field in FIELDS if line.all(field)}


def test_the_line_that_the_card_gives_as_its_example() -> None:
    assert one("14:32 seen winding house, 215M 8m, top 38 foot -6, left of the leat") == {
        "time": "14:32:00",
        "state": "seen",
        "subject": "winding house",
        "bearing": "215M",
        "distance": "8m",
        "top": "38",
        "foot": "-6",
        "side": "left of the leat",
    }


CARD_IN_ORDER = (
    "14:32, wpt 012, walls, left bank, 215M, 8m taped, top 38, foot -6, edges 190M 240M, "
    "back to KNOLL 300M, back to CHAPEL 120M, left the path at the cairn, last sure footbridge, "
    "not lit, wind none, water low, snow in the gully, words: rusted drum house, "
    "photo 41 facing, photo 42 looking back"
)


def test_every_field_of_the_card_in_the_order_of_the_card() -> None:
    assert one(CARD_IN_ORDER) == {
        "time": "14:32:00",
        "waypoint": "012",
        "sky": "walls",
        "side": "left bank",
        "bearing": "215M",
        "distance": "8m",
        "measured": "taped",
        "top": "38",
        "foot": "-6",
        "left edge": "190M",
        "right edge": "240M",
        "sighting": "KNOLL 300M; CHAPEL 120M",
        "left the path": "the cairn",
        "last sure": "footbridge",
        "lit": "no",
        "wind": "none",
        "water": "low",
        "snow": "in the gully",
        "words": "rusted drum house",
        "photo": "41 facing; 42 looking back",
    }


def test_the_order_of_the_items_does_not_matter() -> None:
    time, *items = CARD_IN_ORDER.split(", ")
    backwards = ", ".join([time, *reversed(items)])
    there, back = one(CARD_IN_ORDER), one(backwards)
    assert {k: sorted(v.split("; ")) for k, v in there.items()} == {
        k: sorted(v.split("; ")) for k, v in back.items()
    }


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("seen arch 190 magnetic 12 metres paced", ("190M", "12 metres", "paced")),
        ("seen arch, 190° M 12 m", ("190M", "12 m", "")),
        ("seen arch - 190T 40ft - taped", ("190T", "40ft", "taped")),
        ("seen arch, SW 8m", ("SW", "8m", "")),
        ("seen arch, bearing south-west, 20 paces", ("SW", "20 paces", "paced")),
        ("seen arch, 215m 8m", ("215M", "8m", "")),  # a phone that writes no capitals
        ("seen arch, 215M 8M", ("215M", "8M", "")),  # and one that writes only them
        ("seen arch, bearing 215, distance 8 m", ("215", "8 m", "")),
        ("seen arch. 215M. 8m.", ("215M", "8m", "")),
    ],
)
def test_bearing_and_distance_as_typed_or_dictated(
    written: str, expected: tuple[str, str, str]
) -> None:
    items = one(written)
    assert items["subject"] == "arch"
    assert (items["bearing"], items["distance"], items.get("measured", "")) == expected


@pytest.mark.parametrize(
    "clock", ["14:32", "14.32", "1432", "2:32pm", "2.32 pm", "14h32", "at 14:32"]
)
def test_clock_times(clock: str) -> None:
    assert one(f"{clock} seen arch")["time"] == "14:32:00"


@pytest.mark.parametrize(
    "heading",
    [
        *("2026-03-14", "14 March 2026", "Sat 14 Mar", "Saturday, 14th March", "March 14, 2026"),
        *("14/3/2026", "# 2026-03-14", "14.03.2026:", "on 14 March"),
    ],
)
def test_a_day_alone_holds_for_the_lines_under_it(heading: str) -> None:
    head, first, second = read(f"{heading}\n14:32 seen arch\n\n15:10 seen wheel\n")
    assert head.heading
    assert first.day == second.day == date(2026, 3, 14)
    assert not first.heading


def test_a_day_at_the_beginning_of_a_line() -> None:
    (line,) = read("14 March 2026 14:32 seen arch")
    assert (line.day, line.first("time"), line.first("subject")) == (
        date(2026, 3, 14),
        "14:32:00",
        "arch",
    )


def test_a_day_without_a_year_is_the_last_one_and_fits_its_weekday() -> None:
    assert read("14 Mar")[0].day == date(2026, 3, 14)
    assert read("24 December")[0].day == date(2025, 12, 24)  # not yet come in 2026
    assert read("Fri 14 Mar")[0].day == date(2025, 3, 14)  # in 2026 it is a Saturday


@pytest.mark.parametrize("wrong", ["Mon 14 March 2026", "3/4/2026", "31 February 2026"])
def test_a_day_that_cannot_be_is_reported_and_kept(wrong: str) -> None:
    (line,) = read(f"{wrong} 14:32 seen arch")
    assert line.day is None
    assert line.problems
    assert wrong.split(maxsplit=1)[0] in " ".join([*line.kept, *(i.written for i in line.items)])


@pytest.mark.parametrize(
    "coordinate",
    [
        *("47.0431, -21.0391", "47.0431 N 21.0391 W", "47.0431 N, 21.0391 W"),
        *("N 47° 02.586' W 21° 02.346'", "47°02'35.2\"N 21°02'20.8\"W"),
        *("27T 345123 5212345", "27TUM 45123 12345", "geo:47.0431,-21.0391;u=12"),
    ],
)
def test_coordinates_stand_anywhere_in_a_line(coordinate: str) -> None:
    for text in (f"14:32 {coordinate} seen arch, 215M", f"14:32 seen arch, {coordinate}, 215M"):
        items = one(text)
        assert items["coordinate"] == coordinate
        assert (items["subject"], items["bearing"]) == ("arch", "215M")


@pytest.mark.parametrize(
    ("written", "state"),
    [
        ("seen", "seen"),
        ("saw", "seen"),
        ("scouted", "scouted"),
        ("waiting for light", "waiting for light"),
        ("made", "made"),
        ("gone", "gone"),
    ],
)
def test_states_stand_before_a_name(written: str, state: str) -> None:
    assert one(f"14:32 {written} pump wheel") == {
        "time": "14:32:00",
        "state": state,
        "subject": "pump wheel",
    }


def test_names_may_hold_words_of_the_card() -> None:
    assert one("seen left bank water wheel, 215M")["subject"] == "left bank water wheel"
    assert one("seen open adit with snow, lit")["subject"] == "open adit with snow"


def test_a_name_on_record_needs_no_state_and_one_named_above_is_known_too() -> None:
    assert one("14:40 Winding House, lit", "winding house")["subject"] == "Winding House"
    first, second = read("seen arch\n15:00 arch, wind strong")
    assert second.first("subject") == first.first("subject") == "arch"
    (stranger,) = read("archway, lit", "arch")
    assert stranger.first("subject") == ""


def test_blocked_and_next_take_what_follows_a_comma() -> None:
    items = one("seen arch, blocked: gate locked, no key; next: come in August, bring a rope, lit")
    assert items["blocked"] == "gate locked, no key"
    assert items["next time"] == "come in August, bring a rope"
    assert items["lit"] == "yes"


@pytest.mark.parametrize(
    ("value", "forms"),
    [
        ("yes", ["lit", "lit yes", "lit: yes", "lit from the left", "in full sun", "lit? y"]),
        ("no", ["not lit", "lit no", "lit: no", "Lit No", "lit = n", "lit or not: not lit"]),
        ("no", ["in shade", "in the shade", "lit: in shade", "shaded", "unlit", "no sun yet"]),
        ("no", ["lit: not yet", "lit: no sun", "shade", "in deep shade of the headwall"]),
        ("overcast", ["overcast", "lit overcast", "lit: overcast", "under an overcast sky"]),
        ("overcast", ["sky: overcast", "cloudy"]),
        ("partly", ["lit: partly"]),  # what is none of these stays in its own words
    ],
)
def test_lit_or_not_as_it_is_written(value: str, forms: list[str]) -> None:
    for form in forms:
        for line in (f"seen arch, {form}", f"seen arch, {form}, wind gusty"):
            assert one(line)["lit"] == value, line


def test_lit_does_not_take_what_is_of_something_else() -> None:
    assert one("seen arch, lit no wind")["lit"] == "yes"
    for blank in ("lit or not", "lit:", "lit?"):
        (line,) = read(f"seen arch, {blank}")
        assert (line.first("lit"), line.kept) == ("", (blank,))
    items = one("seen arch, open sky, overcast")
    assert (items["sky"], items["lit"]) == ("open", "overcast")


def test_size_facing_and_error() -> None:
    items = one("seen arch, facing north-east, 4m wide, tall 10 m, ±40m, by phone")
    assert (items["facing"], items["wide"], items["tall"]) == ("NE", "4m", "10 m")
    assert (items["position error"], items["instrument"]) == ("40m", "phone")


def test_a_length_in_a_sentence_moves_nothing() -> None:
    (line,) = read("14:32 seen arch, rope of 30m needed, wall 3m high up there")
    assert line.first("distance") == ""
    assert "rope of 30m needed" in line.kept


def test_angles_below_level() -> None:
    assert one("seen arch, foot 6 down")["foot"] == "-6"
    assert one("seen arch, top 38° up, foot −6°")["foot"] == "-6"


# ---------------------------------------------------------------- nothing is misread


@pytest.mark.parametrize(
    ("written", "items"),
    [
        # a second subject whose name begins with that of the first
        ("seen winding house chimney, 215M 20m", {"subject": "winding house chimney"}),
        ("seen winding house 2", {"subject": "winding house 2"}),
        ("seen the winding house again, 215M", {"subject": "winding house", "bearing": "215M"}),
        ("walls, not lit, seen arch 215M 8m", {"subject": "arch", "bearing": "215M", "lit": "no"}),
        # a further sighting is no camera bearing
        (
            "seen stage, edges 190M 240M, 8m, back to KNOLL 300M and tower 20M",
            {"sighting": "KNOLL 300M; tower 20M", "distance": "8m"},
        ),
        ("seen stage, back to KNOLL 300M, CHAPEL 120M", {"sighting": "KNOLL 300M; CHAPEL 120M"}),
        # lit or not takes nothing that follows it
        (
            "seen arch, not lit 215M 20m top 38 foot -6",
            {"bearing": "215M", "distance": "20m", "top": "38", "foot": "-6", "lit": "no"},
        ),
        ("not lit seen arch 215M 8m", {"subject": "arch", "lit": "no", "distance": "8m"}),
        # units and signs as they are said
        ("seen arch, bearing 215 degrees magnetic", {"bearing": "215M"}),
        ("seen arch bearing 215 degrees, magnetic, 8 metres", {"bearing": "215M"}),
        ("seen arch, bearing two one five magnetic 8 metres", {"bearing": "215M"}),
        ("seen arch, top 38 degrees, foot 6 degrees down", {"top": "38", "foot": "-6"}),
        ("seen arch, top plus 38 foot minus 6 degrees", {"top": "38", "foot": "-6"}),
        ("seen arch, foot 6 below the horizon", {"foot": "-6"}),
        ("seen arch, 8m 215M", {"bearing": "215M", "distance": "8m"}),
        ("seen arch, 8m at 215", {"bearing": "215", "distance": "8m"}),
        (
            "1432 wpt 12 walls 215M 8m taped edges 190M 240M not lit wind none three words a b c",
            {
                "sky": "walls",
                "distance": "8m",
                "left edge": "190M",
                "wind": "none",
                "words": "a b c",
            },
        ),
        ("saw the winding house from the leat 215 M 8 m", {"subject": "winding house"}),
        ("waiting for light at pump wheel 215M", {"subject": "pump wheel", "bearing": "215M"}),
        ("seen kiln facing south east 4 metres wide", {"subject": "kiln", "facing": "SE"}),
        ("seen kiln 200m past the gate", {"subject": "kiln", "distance": ""}),
        ("seen arch, 215M 8m not lit", {"bearing": "215M", "lit": "no"}),
        ("seen arch, foot 4 degrees down in the shade", {"foot": "-4", "lit": "no"}),
        ("2 32 pm seen arch two photos", {"time": "14:32:00", "photo": "two photos"}),
        ("14 32 seen arch", {"time": "14:32:00", "subject": "arch"}),
        # coordinates
        ("seen arch, 8.0123 E 46.5331 N", {"coordinate": "8.0123 E 46.5331 N"}),
        ("seen arch, 47.0431, 21.0391 w", {"coordinate": ""}),
        ("seen arch, 47.0431 n, 21.0391 w", {"coordinate": "47.0431 n, 21.0391 w"}),
        ("seen arch 215M 8m from 47.0431, -21.0391", {"bearing": "215M", "distance": "8m"}),
        ("seen arch, 8m taped from wpt 012", {"waypoint": "012", "distance": "8m"}),
        # what is not taken
        ("seen arch, iron gate 215M 8m", {"bearing": "", "distance": ""}),
        ("seen arch, foot 6 feet down", {"foot": ""}),
        ("seen arch, foot 6 down the bank", {"foot": ""}),
        ("seen arch, top 3 floors gone", {"top": ""}),
        ("seen arch, 215 degrees from magnetic north", {"bearing": ""}),
        ("seen arch, 215M to the knoll", {"bearing": "", "sighting": ""}),
        ("seen arch, 8m taped from the gate", {"distance": ""}),
        ("seen arch, 215M 8,5m", {"distance": ""}),
        ("seen arch, 215M, 8. 5m", {"distance": "", "bearing": "215M"}),
        ("seen arch, 215M 8m, 225M", {"bearing": "", "distance": "8m"}),
        ("seen arch, 215m, 8m", {"distance": "", "bearing": ""}),
        ("SEEN ARCH, 8M", {"bearing": "", "distance": ""}),
        ("seen arch, 40 degrees", {"bearing": ""}),
        ("seen arch, iron gate, 2m high", {"tall": ""}),
        ("seen arch, blocked: river, 8m wide", {"wide": "", "blocked": "river, 8m wide"}),
        ("seen arch, blocked: gate at 215M 8m", {"bearing": "", "blocked": "gate at 215M 8m"}),
        ("seen arch, height 120m above sea", {"tall": ""}),
        ("seen arch, 200m from wpt 012", {"waypoint": ""}),
        ("seen arch, 200m north of 47.0431, -21.0391", {"coordinate": ""}),
        ("seen arch, back bearings KNOLL 300 CHAPEL 120", {"sighting": ""}),
        ("seen arch, bearing 35 or 40", {"bearing": ""}),
        ("seen arch, 215M plus minus 5", {"bearing": ""}),
        ("seen arch, 8 to 10 m", {"distance": ""}),
        ("seen arch, sun at 30 degrees bearing 215M", {"bearing": ""}),
        ("seen arch, path goes 215M for 80m", {"bearing": "", "distance": ""}),
        ("seen arch, water wheel 8m", {"water": "", "distance": ""}),
        ("gone 5 pm", {"subject": ""}),
        ("seen arch, phone battery died", {"instrument": ""}),
        ("seen arch, track 2 km long", {"track": ""}),
        ("seen arch 215M 8m seen wheel 30M", {"subject": "arch", "bearing": "215M"}),
    ],
)
def test_what_is_not_plain_is_kept_as_words(written: str, items: dict[str, str]) -> None:
    (line,) = read(written, "winding house")
    assert {field: "; ".join(line.all(field)) for field in items} == items
    # what is not taken stands there for the user to see
    assert line.kept or all(items.values()) or items.keys() & {"blocked"}


def test_a_day_that_cannot_be_read_ends_the_day_before_it() -> None:
    for heading in ("Mon 14 March 2026", "Sunday", "next day", "day 2", "14/3"):
        _, head, line = read(f"13 March 2026\n{heading}\n14:32 seen arch")
        assert head.problems
        assert line.day is None


# ---------------------------------------------------------------- nothing is lost


def words(text: str) -> set[str]:
    return set(re.findall(r"[^\W_]+", text.casefold()))


CARD_WORDS = st.sampled_from(
    [
        *("14:32", "1432", "seen", "made", "winding house", "arch", "215M", "8m", "top 38"),
        *("foot -6", "edges 190M, 240M", "back to KNOLL 300M", "left the path at", "last sure"),
        *("not lit", "wind", "water", "snow", "blocked:", "next:", "words:", '"three words"'),
        *("wpt 012", "track 3", "walls", "left of", "photo", "2026-03-14", "Sat 14 Mar"),
        *("47.0431, -21.0391", ",", ";", ".", " - ", "taped", "facing", "±40m", "30m", "°", "x"),
    ]
)


PRINTED = st.text(alphabet=st.characters(exclude_categories=["Cc", "Cs"]), max_size=40)


@given(
    st.one_of(
        PRINTED,
        st.lists(CARD_WORDS, max_size=14).map(" ".join),
        st.lists(st.one_of(CARD_WORDS, PRINTED), max_size=10).map("".join),
    )
)
def test_any_text_is_read_and_every_word_of_it_stands_in_an_item_or_is_kept(text: str) -> None:
    file = read_notes(text.encode(), latest=AUTUMN, names=["arch"])
    for line in file.lines:
        assert all(item.field in FIELDS for item in line.items)
        found = " ".join([*(item.written for item in line.items), *line.kept])
        assert words(line.text) <= words(found)


@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused_as_no_text(content: bytes) -> None:
    try:
        file = read_notes(content, latest=AUTUMN)
    except BadFile as error:
        assert "not text" in str(error)  # noqa: PT017
        return
    for line in file.lines:
        plain = line.text.replace("\u200c", "").replace("\u200d", "")  # which names need
        assert not any(unicodedata.category(ch) in ("Cc", "Cf") for ch in plain)


@given(st.lists(st.text(alphabet=st.characters(categories=["L", "N", "P", "Zs"]), max_size=30)))
def test_each_line_that_is_not_blank_comes_back_under_its_number(lines: list[str]) -> None:
    file = read_notes("\n".join(lines).encode(), latest=AUTUMN)
    expected = {n: " ".join(t.split()) for n, t in enumerate(lines, start=1) if t.split()}
    assert {line.line: line.text for line in file.lines} == expected


# ---------------------------------------------------------------- files as they are met


@pytest.mark.parametrize(
    ("content", "encoding"),
    [
        ("14:32 seen Brücke, 215°M 8m".encode(), "utf-8"),
        ("14:32 seen Brücke, 215°M 8m".encode("utf-8-sig"), "utf-8"),
        ("14:32 seen Brücke, 215°M 8m".encode("utf-16"), "utf-16"),
        ("14:32 seen Brücke, 215°M 8m".encode("utf-16-le"), "utf-16"),
        ("14:32 seen Brücke, 215°M 8m".encode("utf-16-be"), "utf-16"),
        ("14:32 seen Brücke, 215°M 8m".encode("cp1252"), "windows-1252"),
    ],
)
def test_encodings(content: bytes, encoding: str) -> None:
    file = read_notes(content, latest=AUTUMN)
    assert file.encoding == encoding
    assert file.lines[0].first("subject") == "Brücke"
    assert file.lines[0].first("bearing") == "215M"
    assert bool(file.faults) == (encoding == "windows-1252")


def test_every_line_of_a_long_file_is_read() -> None:
    assert len(read_notes(b"x\n" * 6_000, latest=AUTUMN).lines) == 6_000


def test_control_characters_are_dropped_and_counted() -> None:
    file = read_notes("one line\n14:32 seen a\x00rch\x1b[2J\u202e, lit".encode(), latest=AUTUMN)
    assert file.lines[1].first("subject") == "arch[2J"
    (fault,) = file.faults
    assert (fault.line, fault.action) == (2, "dropped")
    assert "3 control characters" in fault.what


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"\x89PNG\r\n\x1a\n" + bytes(200), "not text"),
        (b"a" * (MOST_BYTES + 1), "over 1 MB"),
    ],
)
def test_what_is_no_page_of_notes_is_refused(content: bytes, why: str) -> None:
    with pytest.raises(BadFile, match=why):
        read_notes(content, latest=AUTUMN, path="photo.txt")


def test_an_overlong_line_is_kept_whole() -> None:
    (line,) = read("14:32 seen arch " + "and so on " * 200)
    assert line.kept == (line.text,)
    assert line.problems


@pytest.mark.parametrize(
    "unit", ["1 ", "1.", "9°", "back to a ", "and ", "N 1 ", "[", "a,", "- ", "edges 1 "]
)
def test_hostile_repetition_costs_no_more_than_a_moment(unit: str) -> None:
    # bounded by line length: a backtracking pattern would take minutes here
    line = (unit * 500)[:499]
    file = read_notes("\n".join([line] * 40).encode(), latest=AUTUMN)
    assert len(file.lines) == 40


@pytest.mark.parametrize("mark", [":", " -", " –", ";", ","])
def test_what_blocked_may_follow_any_mark(mark: str) -> None:
    line = f"14:32 seen arch, 215M 8m, blocked{mark} river in spate; next time{mark} bring a saw"
    (read,) = read_notes(line.encode(), latest=AUTUMN).lines
    assert read.first("blocked") == "river in spate"
    assert read.first("next time") == "bring a saw"


def test_what_stands_in_quotes_is_the_text_of_its_item() -> None:
    (line,) = read_notes(
        b'2026-03-14 seen gate, north, blocked: "water, high; next: x", next: "at 215M 8m", "47.1"',
        latest=AUTUMN,
        names=("gate, north",),
    ).lines
    assert line.first("subject") == "gate, north"
    assert line.first("blocked") == "water, high; next: x"
    assert line.first("next time") == "at 215M 8m"
    assert line.first("words") == "47.1"
    assert not line.first("bearing")
    assert line.kept == ()
