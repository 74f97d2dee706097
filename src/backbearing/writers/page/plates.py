"""The panel of the frame: each subject on the plate, as `frame` draws it, in the page's colours."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from backbearing.saying import say
from backbearing.writers.frame import frame_text, headline
from backbearing.writers.framedrawing import frame_svg

if TYPE_CHECKING:
    from markupsafe import Markup

    from backbearing.plans.framing import FrameAnswer
    from backbearing.plans.page import ReturnPage

_SVG = "{http://www.w3.org/2000/svg}"
# the drawing's inks by what they are on the page, so that a dark page turns them
_INKS = {
    "#f3f5f4": "var(--paper)",
    "#12191c": "var(--ink)",
    "#414e54": "var(--ink2)",
    "#7d8a8f": "var(--axis)",
    "#a8b3b7": "var(--plate-ground)",
    "#fffdf4": "var(--plate-sky)",
}
_BESIDE, _ABOVE = 130.0, 30.0  # room round the plate for the figures of its margins
_OF_THE_SHEET = "24"  # x of what stands over and under the plate: on the page that is text


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureWords:
    """One subject on the plate; no drawing where it cannot be told, and why."""

    subject: str
    drawing: Markup | None
    lines: tuple[str, ...]
    room: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateWords:
    """The panel of the frame."""

    answer: str
    pictures: tuple[PictureWords, ...]
    legend: str


def plate_words(page: ReturnPage) -> PlateWords | None:
    """The panel in words; None where no camera with a lens is on record."""
    from markupsafe import Markup

    held = page.tripod
    if held is None or not held.pictures:
        return None
    pictures = []
    for number, each in enumerate(held.pictures):
        if each.frame is None:
            pictures.append(
                PictureWords(subject=each.subject, drawing=None, lines=(each.why,), room="")
            )
            continue
        svg = page_drawing(each.frame, f"plate{number}-")
        pictures.append(
            PictureWords(
                subject=each.subject,
                drawing=Markup(svg),  # noqa: S704  built by ElementTree, escaped
                lines=_said(each.frame),
                room=_room(each.frame),
            )
        )
    first = next((each.frame for each in held.pictures if each.frame is not None), None)
    return PlateWords(
        answer=_answer(first) if first else say("What a plate takes in cannot be told yet."),
        pictures=tuple(pictures),
        legend=_legend([each.frame for each in held.pictures if each.frame is not None]),
    )


def page_drawing(answer: FrameAnswer, prefix: str) -> str:
    """The drawing of `frame` without its head and foot, its colours the page's own.

    prefix: of its ids, one for each drawing on a page.
    """
    # our own drawing, made in this process: nothing from outside is parsed
    svg = ElementTree.fromstring(frame_svg(answer))  # noqa: S314
    ElementTree.register_namespace("", _SVG.strip("{}"))
    plate = next(each for each in svg.iter(f"{_SVG}clipPath"))[0]
    left, top, wide, high = (float(plate.get(k, "0")) for k in ("x", "y", "width", "height"))
    for parent in list(svg.iter()):
        for child in list(parent):
            if _of_the_sheet(child):
                parent.remove(child)
    beside = (left - _BESIDE, top - _ABOVE, wide + 2 * _BESIDE, high + 2 * _ABOVE)
    svg.set("viewBox", " ".join(f"{each:.0f}" for each in beside))
    for name in ("width", "height", "font-family", "font-size"):
        svg.attrib.pop(name, None)
    for each in svg.iter():
        for name, value in each.items():
            if name == "id":
                each.set(name, prefix + value)
            else:
                ours = _INKS.get(value, value)
                each.set(name, ours.replace("url(#", f"url(#{prefix}"))
    return ElementTree.tostring(svg, encoding="unicode")


def _of_the_sheet(element: ElementTree.Element) -> bool:
    """Whether it is the drawing's head, foot or paper."""
    if element.tag == f"{_SVG}text":
        return element.get("x") == _OF_THE_SHEET
    return element.tag == f"{_SVG}rect" and element.get("width") == "100%"


def _answer(first: FrameAnswer) -> str:
    where = (
        say("{subject} from {position}", subject=first.subject, position=first.position)
        if first.position
        else first.subject
    )
    return say(
        "{where}, {lens} on {camera}. {headline}",
        where=where,
        lens=first.lens,
        camera=first.camera,
        headline=headline(first),
    )


def _said(answer: FrameAnswer) -> tuple[str, ...]:
    """What `frame` says, less its head and its table of margins, which the panel has itself."""
    own = (say("side "), *(each.side for each in answer.picture.margins))
    lines = (line for line in frame_text(answer).splitlines()[1:] if line.strip())
    return tuple(line for line in lines if not line.startswith(own) and "--" not in line)


def _room(answer: FrameAnswer) -> str:
    told = ", ".join(
        f"{say(each.side)} {each.mm:.0f} ± {each.plus_minus_mm:.0f} mm"
        for each in answer.picture.margins
    ).replace("-", "−")
    return say("Room on the plate: {told}.", told=told)


def _legend(frames: list[FrameAnswer]) -> str:
    if not frames:
        return ""
    said = [say("Hatched: where its edge may be")]
    if any(any(each.finder_crop) for each in frames):
        said.append(say("broken line: what the finder shows"))
    if any(each.sky is not None for each in frames):
        said.append(say("grey: the ground on record, up to its skyline"))
    return "; ".join(said) + "."
