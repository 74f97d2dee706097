"""Framing and distance → mark as text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.writers.text import clean, table

if TYPE_CHECKING:
    from backbearing.plans.aiming import Turn
    from backbearing.plans.fartherback import FarBack
    from backbearing.plans.focus import Depth, FocusTable
    from backbearing.plans.framing import FrameAnswer, Part

_OTHERS = 5  # named in words
_FAR_M = 100.0  # past it a limit of sharpness is as good as none
_FITS = {"yes": "It fits", "doubtful": "It may just fit", "no": "It does not fit"}


def frame_text(answer: FrameAnswer) -> str:
    """Whether it fits, the room at each side, and what else would do."""
    return "\n".join(line if "\n" in line else clean(line) for line in _lines(answer))


def headline(answer: FrameAnswer) -> str:
    """`It fits: 7 mm ± 3 to spare at the top, the tightest side.`"""
    return f"{_FITS[answer.picture.fits]}: {answer.picture.why}."


def way_sentence(answer: FrameAnswer) -> str:
    """How the camera stands: level, front moved, or tilted and what leans then."""
    picture = answer.picture
    if picture.way == "level":
        return "Camera level, nothing moved."
    if picture.way in ("rise", "fall"):
        words = f"Camera level, {picture.way} {abs(picture.rise_mm):.0f} mm"
        if picture.circle_mm is None:
            return f"{words}; whether the lens covers that is not on record."
        return (
            f"{words}; that needs a circle of {picture.circle_needed_mm:.0f} mm, "
            f"the lens covers {picture.circle_mm:.0f} mm here."
        )
    lean = ""
    if abs(picture.leaning_deg) >= 0.05:
        inward = "in" if picture.leaning_deg > 0 else "out"
        lean = (
            f": its upright edges lean {inward} at the top by {abs(picture.leaning_deg):.1f}°, "
            f"{abs(picture.leaning_mm):.1f} mm over its height"
        )
    return (
        f"Camera {picture.way} {abs(picture.tilt_deg):.1f}°{lean}; to keep them upright it would "
        f"take {abs(picture.rise_wanted_mm):.0f} mm of "
        f"{'rise' if picture.rise_wanted_mm > 0 else 'fall'}."
    )


def _lines(answer: FrameAnswer) -> Iterator[str]:
    picture = answer.picture
    held = "upright" if picture.upright else "level"
    yield (
        f"{answer.subject}"
        + (f" from {answer.position}" if answer.position else "")
        + f": {answer.camera}, {answer.lens}, image {picture.wide_mm:g} × {picture.high_mm:g} mm, "
        f"plate {held}"
    )
    yield headline(answer)
    yield way_sentence(answer)
    if picture.fits != "yes" and (picture.holds_height < 0.995 or (picture.holds_width or 1) < 1):
        wide = (
            "" if picture.holds_width is None else f", {percent(picture.holds_width)} of its width"
        )
        yield (
            f"From here the plate takes {percent(picture.holds_height)} of its height{wide}"
            f"{_part_words(answer.part)}."
        )
    if answer.farther is not None:
        far = answer.farther
        if far.distance_m is not None and far.back_m is not None:
            off = metres_text(max(1.0, round(far.plus_minus_m or 0.0)))
            yield (
                f"Far enough: {metres_text(far.distance_m)} ± {off} from it, "
                f"{metres_text(far.back_m)} farther back{_tilt_there(far)}; {far.ground}."
            )
        else:
            yield (
                f"Far enough: {far.times:.1f} times the distance now{_tilt_there(far)}; "
                f"{far.ground}."
            )
    offered = sorted(answer.others, key=lambda other: other.fits != "yes")
    for other in offered[:_OTHERS]:
        body = "" if other.camera == answer.camera else f"{other.camera} with "
        plate = "upright" if other.upright else "level"
        sure = "" if other.fits == "yes" else " (doubtful)"
        yield f"Would do from here: {body}{other.lens}, plate {plate}, {other.way}{sure}."
    if len(offered) > _OTHERS:
        yield f"{len(offered) - _OTHERS} more would do; --json lists them."
    if any(other.camera != answer.camera for other in offered[:_OTHERS]):
        yield "Whether a lens goes on another camera is not on record."
    if picture.fits != "yes" and not answer.others:
        yield "Nothing else in the kit holds all of it from here."
    if answer.turn is not None:
        turn = answer.turn
        more = "less" if turn.share > 0 else "more"
        bearing = "" if turn.bearing_deg is None else f", to {turn.bearing_deg:03.0f}° true"
        if turn.compass_deg is not None:
            bearing += f" ({turn.compass_deg:03.0f}M)"
        yield (
            f"{percent(abs(turn.share))} {more} on the {turn.side}: "
            f"turn {turn.way} {turn.turn_deg:.1f}°{bearing} ({turn.mm:.0f} mm of the plate)"
            f"{_front_words(turn)}."
        )
    if answer.sky is not None:
        sky = answer.sky
        doubt_mm = max(sky.plus_minus_mm, 1.0)
        below = sky.highest_below_top_mm
        where = (
            f"the ground stays {below:.0f} mm ± {doubt_mm:.0f} below the frame's top"
            if below >= 0
            else f"the ground goes out at the top by {-below:.0f} mm ± {doubt_mm:.0f}"
        )
        yield (
            f"Sky over the ground in the frame: {percent(sky.share)} ± "
            f"{percent(sky.share_plus_minus)}; {where}."
        )
    else:
        yield "Sky in the frame: not known without terrain and a bearing on record."
    yield ""
    yield table(
        ("side", "room mm", "± mm", "% of frame"),
        [
            (
                m.side,
                f"{m.mm:.0f}".replace("-", "−"),
                f"{m.plus_minus_mm:.0f}",
                f"{100 * m.share:.0f}".replace("-", "−"),
            )
            for m in picture.margins
        ],
        right=(1, 2, 3),
    )
    yield ""
    yield f"Rests on: {'; '.join(answer.rests_on)}."


def percent(share: float) -> str:
    """`44 %`."""
    return f"{100.0 * share:.0f} %"


def _part_words(part: Part | None) -> str:
    if part is None:
        return ""
    words = f": {part.low_m:.1f} to {part.high_m:.1f} m over its foot, of {part.tall_m:.1f} m"
    if part.across_m is not None and part.wide_m is not None and part.across_m < part.wide_m:
        words += f", and {part.across_m:.1f} m of its {part.wide_m:.1f} m across"
    return f"{words} (± 10 %, as its distance)"


def _tilt_there(far: FarBack) -> str:
    """A distance that counts on the camera being tilted says so."""
    if far.way.startswith("tilted"):
        return f", with the camera {far.way} {abs(far.tilt_deg):.1f}° there"
    return f", with {far.way} there" if far.way != "level" else ""


def _front_words(turn: Turn) -> str:
    if not turn.by_front:
        return ""
    moved = {"left": "shift the front left", "right": "shift the front right"}
    words = moved.get(turn.way, "raise the front" if turn.way == "up" else "lower the front")
    return f", or {words} as far and leave the camera"


def sharp_words(depth: Depth) -> str:
    """`3.2–5.5 m`, `8.3 m–∞`, with a star where the distance itself is not sharp."""
    far = "∞" if depth.far_m is None else f"{depth.far_m:.3g} m"
    if depth.far_m is not None and depth.far_m > _FAR_M:
        far = f"over {_FAR_M:g} m"
    return f"{depth.near_m:.3g}–{far}{'' if depth.holds else ' *'}"


def exact_words(too_near_m: float, too_far_m: float | None) -> str:
    """`−0.8 +1.5 m`: how far the true distance may lie from that set."""
    if too_near_m < 0.0 or (too_far_m is not None and too_far_m < 0.0):
        return "not sharp"
    farther = "any" if too_far_m is None else f"{_short(too_far_m)} m"
    if too_far_m is not None and too_far_m > _FAR_M:
        farther = f"over {_FAR_M:g} m"
    return f"−{_short(too_near_m)} +{farther}"


def covers_words(wide_m: float, high_m: float) -> str:
    """`3.60 × 2.25`, `18.7 × 11.7`, `47 × 29`: as exact as the distance is known at best."""
    places = 2 if wide_m < 10.0 else 1 if wide_m < 30.0 else 0
    return f"{wide_m:.{places}f} × {high_m:.{places}f}"


def _short(metres: float) -> str:
    return f"{metres:.2f}" if metres < 1.0 else f"{metres:.1f}" if metres < 10 else f"{metres:.0f}"


def focus_text(answer: FocusTable) -> str:
    """Distance → mark as a table, and both marks where a distance lies between two."""
    head = ["distance", "covers m", "set", *(f"sharp at {a}" for a in answer.apertures), "good to"]
    rows = []
    for row in answer.rows:
        rows.append(
            (
                metres_text(row.distance_m),
                covers_words(row.wide_m, row.high_m),
                row.set_at,
                *(sharp_words(depth) for depth in row.chosen.depths),
                exact_words(row.too_near_m, row.too_far_m),
            )
        )
        if len(row.at_marks) == 2 and len(answer.rows) <= 3:
            rows.extend(
                (
                    "",
                    "",
                    f"  set at {setting.mark} ({setting.basis})",
                    *(sharp_words(depth) for depth in setting.depths),
                    "",
                )
                for setting in row.at_marks
            )
    lines = [
        f"{answer.lens} on {answer.camera}, image {answer.wide_mm:g} × {answer.high_mm:g} mm",
        f"circle of confusion {answer.blur_mm:.3f} mm ({answer.blur_basis})",
        "",
        table(head, rows, right=(0,)),
    ]
    if any(not depth.holds for row in answer.rows for s in row.at_marks for depth in s.depths):
        lines.append("* the distance itself is not sharp then")
    if answer.between is not None:
        b = answer.between
        far = "infinity" if b.far_m is None else metres_text(b.far_m)
        stop = f"set {b.aperture}" if b.aperture else "smaller than the lens has"
        lines += [
            "",
            f"Sharp from {metres_text(b.near_m)} to {far}: focus {b.focus_m:.2f} m (set "
            f"{b.set_at}), f/{b.f_number:.1f} at least: {stop}.",
        ]
    lines += ["", *(f"{remark}." for remark in answer.remarks)]
    return "\n".join(line if "\n" in line else clean(line) for line in lines)
