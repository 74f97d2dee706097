"""Latitude and longitude as people write them: decimal, degrees and minutes, or with seconds."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal, NoReturn

from backbearing.errors import BadInput, quoted

Axis = Literal["latitude", "longitude"]

LONGEST_TEXT = 200  # characters; no coordinate needs more

# marks people type, dictate or paste, in the one form the reader knows
_ALIKE = str.maketrans(
    {
        **dict.fromkeys("º˚", "°"),
        **dict.fromkeys("′’‘´`ʹʼ", "'"),
        **dict.fromkeys("″”“„ʺ˝", '"'),
        **dict.fromkeys("−‐‑‒–—", "-"),
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\t\n\r", " "),
    }
)

_TOKEN = re.compile(
    r"""(?P<num>[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+))
      | (?P<deg>°) | (?P<sec>") | (?P<min>') | (?P<colon>:) | (?P<sep>[,;/])
      | (?P<word>[dms](?=[NSEW](?![A-Za-z]))|[A-Za-z]+)
      | (?P<space>\ +)""",
    re.VERBOSE,
)
_HEMISPHERES = {"n": "N", "north": "N", "s": "S", "south": "S"} | {
    "e": "E",
    "east": "E",
    "w": "W",
    "west": "W",
}
_UNIT_WORDS = {
    **dict.fromkeys(("d", "deg", "degs", "degree", "degrees"), "deg"),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), "min"),
    **dict.fromkeys(("sec", "secs", "second", "seconds"), "sec"),
}
_AXIS_WORDS: dict[str, Axis] = {
    **dict.fromkeys(("lat", "latitude"), "latitude"),
    **dict.fromkeys(("lon", "long", "lng", "longitude"), "longitude"),
}
_AXIS_OF: dict[str, Axis] = {
    "N": "latitude",
    "S": "latitude",
    "E": "longitude",
    "W": "longitude",
}
_LIMIT: dict[Axis, int] = {"latitude": 90, "longitude": 180}
_RANK = {"deg": 0, "min": 1, "sec": 2}
_UNIT_NAMES = ("degrees", "minutes", "seconds")


@dataclass(slots=True)
class _Token:
    kind: str
    text: str
    start: int


@dataclass(slots=True)
class _Half:
    """One of the two parts of a pair, as it is written."""

    numbers: list[str] = field(default_factory=list)
    hemisphere: str = ""
    axis: Axis | None = None


@dataclass(frozen=True, slots=True)
class Pair:
    """A latitude and longitude read from text, and half the unit of their last written digit."""

    latitude_deg: float
    longitude_deg: float
    latitude_half_unit_deg: float
    longitude_half_unit_deg: float


def plain_marks(text: str) -> str:
    """The text with every look-alike mark, dash and space in one plain form."""
    return re.sub(r"' ?'", '"', text.translate(_ALIKE)).strip()


def read_pair(text: str, *, where: str = "coordinate") -> Pair:
    """Which latitude and longitude a text names, latitude first unless letters say otherwise.

    Raises BadInput naming the part that is ambiguous, malformed or out of range.
    """
    shown = quoted(text)
    plain = plain_marks(text)
    _refuse_decimal_commas(plain, shown, where)
    tokens = _tokens(plain, shown, where)
    first, second = (_half(half, shown, where) for half in _split(tokens, shown, where))
    _settle_axes(first, second, shown, where)
    if first.axis == "longitude":
        first, second = second, first
    swap = _swap_hint(first, second)
    latitude_deg, latitude_half = _value(first, shown, where, swap)
    longitude_deg, longitude_half = _value(second, shown, where, swap)
    return Pair(latitude_deg, longitude_deg, latitude_half, longitude_half)


def _bad(what: str, where: str, remedy: str = "") -> NoReturn:
    raise BadInput(what, where=where, remedy=remedy)


def _refuse_decimal_commas(plain: str, shown: str, where: str) -> None:
    between_digits = len(re.findall(r"(?<=[0-9]),(?=[0-9])", plain))
    if between_digits > 1 or (between_digits == 1 and "." not in plain):
        _bad(
            f"the comma in {shown} may be a decimal comma or part latitude from longitude",
            where,
            "write decimals with a point and a space after the comma, as '47.0123, -21.0456'",
        )


def _tokens(plain: str, shown: str, where: str) -> list[_Token]:
    if re.search(r"[NSEWnsew]", plain):
        # '47-30.5N': between digits, with a letter to give the sign, a dash only joins
        plain = re.sub(r"(?<=[0-9])-(?=[0-9])", ":", plain)
    tokens: list[_Token] = []
    position = 0
    while position < len(plain):
        match = _TOKEN.match(plain, position)
        if match is None:
            _bad(f"{quoted(plain[position])} is not understood in {shown}", where, _EXAMPLES)
        kind, text = str(match.lastgroup), match.group()
        if kind == "num" and text[0] not in "+-" and _touches_number(tokens, position):
            _bad(f"the figure {quoted(tokens[-1].text + text)} in {shown} is malformed", where)
        if kind == "word":
            kind, text = _word(text, tokens, position, shown, where)
        if kind != "space":
            tokens.append(_Token(kind, text, position))
        position = match.end()
    return tokens


_EXAMPLES = (
    "write it as '47.0123, -21.0456', '47 00.74 N 21 02.74 W', UTM '27T 496533 5206530', "
    "MGRS or a geo: URI"
)


def _touches_number(before: list[_Token], position: int) -> bool:
    return (
        bool(before)
        and before[-1].kind == "num"
        and before[-1].start + len(before[-1].text) == position
    )


def _word(
    word: str, before: list[_Token], position: int, shown: str, where: str
) -> tuple[str, str]:
    lower = word.lower()
    touching = _touches_number(before, position)
    mark_before = before[-2].kind if len(before) > 1 else ""
    if lower == "m" and touching and mark_before == "deg":
        return "min", word
    if word == "s" and touching and mark_before == "min":
        return "sec", word  # '47d30m12s': the third small letter is a unit, not a hemisphere
    if lower in _UNIT_WORDS:
        return _UNIT_WORDS[lower], word
    if lower in _HEMISPHERES:
        return "hemi", _HEMISPHERES[lower]
    if lower in _AXIS_WORDS:
        return "axis", _AXIS_WORDS[lower]
    if lower == "o":
        _bad(
            f"the letter O in {shown} may mean west (ouest, oeste) or east (Ost)",
            where,
            "write E or W",
        )
    _bad(f"{quoted(word)} is not understood in {shown}", where, _EXAMPLES)


def _split(tokens: list[_Token], shown: str, where: str) -> tuple[list[_Token], list[_Token]]:
    """Part a pair in two by its plainest sign: separator, letters, marks, signs, count."""
    # a separator at the end, or beside another, parts nothing
    while tokens and tokens[-1].kind == "sep":
        tokens = tokens[:-1]
    separators = [i for i, t in enumerate(tokens) if t.kind == "sep"]
    numbers = [i for i, t in enumerate(tokens) if t.kind == "num"]
    if len(numbers) < 2:
        _bad(f"{shown} holds {len(numbers) or 'no'} number, two parts are needed", where, _EXAMPLES)
    if len(separators) > 1:
        _bad(f"{shown} has more than two parts", where, "give latitude and longitude only")
    if separators:
        return tokens[: separators[0]], tokens[separators[0] + 1 :]
    letters = [i for i, t in enumerate(tokens) if t.kind in ("hemi", "axis")]
    if letters:
        if len(letters) != 2:
            _bad(
                f"{shown} has {'one letter' if len(letters) == 1 else 'more than two letters'} "
                "for N, S, E, W",
                where,
                "give each part its own letter, or part them with a comma",
            )
        cut = letters[1] if letters[0] < numbers[0] else letters[0] + 1
        return tokens[:cut], tokens[cut:]
    starts = [i for i in numbers if i + 1 < len(tokens) and tokens[i + 1].kind == "deg"]
    if len(starts) < 2:
        signed = [i for i in numbers if tokens[i].text[0] in "+-"]
        starts = [numbers[0], *(i for i in signed if i > numbers[0])]
    if len(starts) < 2 and any(t.kind == "colon" for t in tokens):
        starts = [i for i in numbers if i == 0 or tokens[i - 1].kind != "colon"]
    if len(starts) < 2 and len(numbers) in (2, 4, 6):
        starts = [numbers[0], numbers[len(numbers) // 2]]
    if len(starts) != 2:
        _bad(
            f"where latitude ends and longitude begins is not clear in {shown}",
            where,
            "part them with a comma",
        )
    return tokens[: starts[1]], tokens[starts[1] :]


def _half(tokens: list[_Token], shown: str, where: str) -> _Half:
    half = _Half()
    for i, token in enumerate(tokens):
        if token.kind == "hemi":
            if half.hemisphere:
                _bad(f"one part of {shown} has two letters", where, "give each part one of N S E W")
            half.hemisphere = token.text
            half.axis = _AXIS_OF[token.text]
        elif token.kind == "axis":
            half.axis = "latitude" if token.text == "latitude" else "longitude"
        elif token.kind == "num":
            half.numbers.append(token.text)
        elif token.kind != "colon":
            after_number = i > 0 and tokens[i - 1].kind == "num"
            if not after_number or _RANK[token.kind] != len(half.numbers) - 1:
                _bad(
                    f"the mark {quoted(token.text)} stands in the wrong place in {shown}",
                    where,
                    "degrees take °, minutes ', seconds \"",
                )
    if not half.numbers:
        _bad(f"one part of {shown} holds no number", where, _EXAMPLES)
    if len(half.numbers) > 3:
        _bad(f"one part of {shown} has more than degrees, minutes and seconds", where)
    return half


def _settle_axes(first: _Half, second: _Half, shown: str, where: str) -> None:
    other: dict[Axis, Axis] = {"latitude": "longitude", "longitude": "latitude"}
    if first.axis is None:
        first.axis = other[second.axis] if second.axis else "latitude"
    if second.axis is None:
        second.axis = other[first.axis]
    if first.axis == second.axis:
        _bad(f"both parts of {shown} are {first.axis}s", where, "give one N or S and one E or W")


def _swap_hint(latitude: _Half, longitude: _Half) -> str:
    """Advice where the first number can only be a longitude and no letter says which is which."""
    if latitude.hemisphere or longitude.hemisphere:
        return ""
    if abs(float(latitude.numbers[0])) > 90 >= abs(float(longitude.numbers[0])):
        return "latitude and longitude look swapped: latitude comes first"
    return ""


def _value(half: _Half, shown: str, where: str, swap: str) -> tuple[float, float]:
    axis = half.axis
    assert axis is not None  # noqa: S101  (settled above)
    signed = half.numbers[0][0] in "+-"
    if signed and half.hemisphere:
        _bad(f"the {axis} in {shown} has both a sign and a letter", where, "drop one of them")
    total = 0.0
    for rank, number in enumerate(half.numbers):
        if rank and number[0] in "+-":
            _bad(f"the {axis} {_UNIT_NAMES[rank]} {number} carry a sign", where, "drop the sign")
        if "." in number and rank < len(half.numbers) - 1:
            _bad(
                f"the {axis} {_UNIT_NAMES[rank]} {number} have decimals and more follows",
                where,
                "only the last figure of a part may have decimals",
            )
        figure = abs(float(number))
        if rank and figure >= 60:
            _bad(f"the {axis} {_UNIT_NAMES[rank]} {number} are not below 60", where)
        total += figure / 60.0**rank
    if total > _LIMIT[axis]:
        remedy = swap
        if not remedy and axis == "longitude" and total <= 360 and not signed:
            remedy = f"write {360 - total:.7g} W if it counts east from 0 to 360"
        _bad(
            f"{axis} {total:.9g} is outside −{_LIMIT[axis]}…{_LIMIT[axis]}",
            where,
            remedy,
        )
    if half.hemisphere in ("S", "W") or half.numbers[0][0] == "-":
        total = -total
    last = half.numbers[-1]
    decimals = len(last.split(".")[1]) if "." in last else 0
    unit_deg: float = 60.0 ** -(len(half.numbers) - 1) * 10.0**-decimals
    if axis == "longitude" and total == 180:
        total = -180.0
    return total + 0.0, unit_deg / 2
