"""Framing and distance → mark as text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from backbearing.places.words import metres_text
from backbearing.saying import phrase, say
from backbearing.writers.text import clean, table

if TYPE_CHECKING:
    from backbearing.plans.aiming import Turn
    from backbearing.plans.fartherback import FarBack
    from backbearing.plans.focus import Depth, FocusTable
    from backbearing.plans.framing import FrameAnswer, Part

_OTHERS = 5  # named in words
_FAR_M = 100.0  # past it a limit of sharpness is as good as none
_FITS = {
    "yes": phrase("It fits"),
    "doubtful": phrase("It may just fit"),
    "no": phrase("It does not fit"),
}


def frame_text(answer: FrameAnswer) -> str:
    """Whether it fits, the room at each side, and what else would do."""
    return "\n".join(line if "\n" in line else clean(line) for line in _lines(answer))


def headline(answer: FrameAnswer) -> str:
    """`It fits: 7 mm ± 3 to spare at the top, the tightest side.`"""
    return f"{say(_FITS[answer.picture.fits])}: {answer.picture.why}."


def fits_not_text(answer: FrameAnswer) -> str:
    """Of a picture that is not sure to fit the headline and how much is held; '' of one that is."""
    if answer.picture.fits == "yes":
        return ""
    return f"{headline(answer)} {held_sentence(answer)}".rstrip()


def held_sentence(answer: FrameAnswer) -> str:
    """How much of a subject that is not sure to fit the plate takes; '' where that is all."""
    picture = answer.picture
    if picture.fits == "yes" or (picture.holds_height >= 0.995 and (picture.holds_width or 1) >= 1):
        return ""
    wide = (
        ""
        if picture.holds_width is None
        else say(", {percent} of its width", percent=percent(picture.holds_width))
    )
    return say(
        "From here the plate takes {percent} of its height{wide}{part}.",
        percent=percent(picture.holds_height),
        wide=wide,
        part=_part_words(answer.part),
    )


def way_sentence(answer: FrameAnswer) -> str:
    """How the camera stands: level, front moved, or tilted and what leans then."""
    picture = answer.picture
    if picture.way == say("level"):
        return say("Camera level, nothing moved.")
    if picture.way in ("rise", "fall"):
        words = say(
            "Camera level, {way} {rise_mm:.0f} mm",
            way=say(picture.way),
            rise_mm=abs(picture.rise_mm),
        )
        if picture.circle_mm is None:
            return say("{words}; whether the lens covers that is not on record.", words=words)
        return say(
            "{words}; that needs a circle of {circle_needed_mm:.0f} mm, the "
            "lens covers {circle_mm:.0f} mm here.",
            words=words,
            circle_needed_mm=picture.circle_needed_mm,
            circle_mm=picture.circle_mm,
        )
    lean = ""
    if abs(picture.leaning_deg) >= 0.05:
        inward = say("in") if picture.leaning_deg > 0 else say("out")
        lean = say(
            ": its upright edges lean {inward} at the top by "
            "{leaning_deg:.1f}°, {leaning_mm:.1f} mm over its height",
            inward=inward,
            leaning_deg=abs(picture.leaning_deg),
            leaning_mm=abs(picture.leaning_mm),
        )
    return (
        say(
            "Camera {way} {tilt_deg:.1f}°{lean}; to keep them upright it would "
            "take {rise_wanted_mm:.0f} mm of rise.",
            way=say(picture.way),
            tilt_deg=abs(picture.tilt_deg),
            lean=lean,
            rise_wanted_mm=abs(picture.rise_wanted_mm),
        )
        if picture.rise_wanted_mm > 0
        else say(
            "Camera {way} {tilt_deg:.1f}°{lean}; to keep them upright it would "
            "take {rise_wanted_mm:.0f} mm of fall.",
            way=say(picture.way),
            tilt_deg=abs(picture.tilt_deg),
            lean=lean,
            rise_wanted_mm=abs(picture.rise_wanted_mm),
        )
    )


def _lines(answer: FrameAnswer) -> Iterator[str]:
    picture = answer.picture
    held = say("upright") if picture.upright else say("level")
    yield (
        f"{answer.subject}"
        + (say(" from {position}", position=answer.position) if answer.position else "")
        + say(
            ": {camera}, {lens}, image {wide_mm:g} × {high_mm:g} mm, plate {held}",
            camera=answer.camera,
            lens=answer.lens,
            wide_mm=picture.wide_mm,
            high_mm=picture.high_mm,
            held=held,
        )
    )
    yield headline(answer)
    yield way_sentence(answer)
    if held := held_sentence(answer):
        yield held
    if answer.farther is not None:
        far = answer.farther
        if far.distance_m is not None and far.back_m is not None:
            off = metres_text(max(1.0, round(far.plus_minus_m or 0.0)))
            yield (
                say(
                    "Far enough: {distance} ± {off} from it, {back} farther "
                    "back{tilt_there}; {ground}.",
                    distance=metres_text(far.distance_m),
                    off=off,
                    back=metres_text(far.back_m),
                    tilt_there=_tilt_there(far),
                    ground=far.ground,
                )
            )
        else:
            yield (
                say(
                    "Far enough: {times:.1f} times the distance now{tilt_there}; {ground}.",
                    times=far.times,
                    tilt_there=_tilt_there(far),
                    ground=far.ground,
                )
            )
    offered = sorted(answer.others, key=lambda other: other.fits != "yes")
    for other in offered[:_OTHERS]:
        body = "" if other.camera == answer.camera else say("{camera} with ", camera=other.camera)
        plate = say("upright") if other.upright else say("level")
        sure = "" if other.fits == "yes" else say(" (doubtful)")
        yield say(
            "Would do from here: {body}{lens}, plate {plate}, {way}{sure}.",
            body=body,
            lens=other.lens,
            plate=plate,
            way=say(other.way),
            sure=sure,
        )
    if len(offered) > _OTHERS:
        yield say("{offered} more would do; --json lists them.", offered=len(offered) - _OTHERS)
    if any(other.camera != answer.camera for other in offered[:_OTHERS]):
        yield say("Whether a lens goes on another camera is not on record.")
    if picture.fits != "yes" and not answer.others:
        yield say("Nothing else in the kit holds all of it from here.")
    if answer.turn is not None:
        turn = answer.turn
        more = say("less") if turn.share > 0 else say("more")
        bearing = (
            ""
            if turn.bearing_deg is None
            else say(", to {bearing_deg:03.0f}° true", bearing_deg=turn.bearing_deg)
        )
        if turn.compass_deg is not None:
            bearing += f" ({turn.compass_deg:03.0f}M)"
        yield (
            say(
                "{percent} {more} on the {side}: turn {way} "
                "{turn_deg:.1f}°{bearing} ({mm:.0f} mm of the plate){front}.",
                percent=percent(abs(turn.share)),
                more=more,
                side=say(turn.side),
                way=say(turn.way),
                turn_deg=turn.turn_deg,
                bearing=bearing,
                mm=turn.mm,
                front=_front_words(turn),
            )
        )
    if answer.sky is not None:
        sky = answer.sky
        doubt_mm = max(sky.plus_minus_mm, 1.0)
        below = sky.highest_below_top_mm
        where = (
            say(
                "the ground stays {below:.0f} mm ± {doubt_mm:.0f} below the frame's top",
                below=below,
                doubt_mm=doubt_mm,
            )
            if below >= 0
            else say(
                "the ground goes out at the top by {below:.0f} mm ± {doubt_mm:.0f}",
                below=-below,
                doubt_mm=doubt_mm,
            )
        )
        yield (
            say(
                "Sky over the ground in the frame: {percent} ± {percent_2}; {where}.",
                percent=percent(sky.share),
                percent_2=percent(sky.share_plus_minus),
                where=where,
            )
        )
    else:
        yield say("Sky in the frame: not known without terrain and a bearing on record.")
    yield ""
    yield table(
        (say("side"), say("room mm"), "± mm", say("% of frame")),
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
    yield say("Rests on: {rests_on}.", rests_on="; ".join(answer.rests_on))


def percent(share: float) -> str:
    """`44 %`."""
    return f"{100.0 * share:.0f} %"


def _part_words(part: Part | None) -> str:
    if part is None:
        return ""
    words = say(
        ": {low_m:.1f} to {high_m:.1f} m over its foot, of {tall_m:.1f} m",
        low_m=part.low_m,
        high_m=part.high_m,
        tall_m=part.tall_m,
    )
    if part.across_m is not None and part.wide_m is not None and part.across_m < part.wide_m:
        words += say(
            ", and {across_m:.1f} m of its {wide_m:.1f} m across",
            across_m=part.across_m,
            wide_m=part.wide_m,
        )
    return say("{words} (± 10 %, as its distance)", words=words)


def _tilt_there(far: FarBack) -> str:
    """A distance that counts on the camera being tilted says so."""
    if far.way.startswith("tilted"):
        return say(
            ", with the camera {way} {tilt_deg:.1f}° there",
            way=say(far.way),
            tilt_deg=abs(far.tilt_deg),
        )
    return say(", with {way} there", way=say(far.way)) if far.way != say("level") else ""


def _front_words(turn: Turn) -> str:
    if not turn.by_front:
        return ""
    moved = {"left": say("shift the front left"), "right": say("shift the front right")}
    words = moved.get(
        turn.way, say("raise the front") if turn.way == "up" else say("lower the front")
    )
    return say(", or {words} as far and leave the camera", words=words)


def sharp_words(depth: Depth) -> str:
    """`3.2–5.5 m`, `8.3 m–∞`, with a star where the distance itself is not sharp."""
    far = "∞" if depth.far_m is None else f"{depth.far_m:.3g} m"
    if depth.far_m is not None and depth.far_m > _FAR_M:
        far = say("over {far_m:g} m", far_m=_FAR_M)
    return f"{depth.near_m:.3g}–{far}{'' if depth.holds else ' *'}"


def exact_words(too_near_m: float, too_far_m: float | None) -> str:
    """`−0.8 +1.5 m`: how far the true distance may lie from that set."""
    if too_near_m < 0.0 or (too_far_m is not None and too_far_m < 0.0):
        return say("not sharp")
    farther = say("any") if too_far_m is None else f"{_short(too_far_m)} m"
    if too_far_m is not None and too_far_m > _FAR_M:
        farther = say("over {far_m:g} m", far_m=_FAR_M)
    return f"−{_short(too_near_m)} +{farther}"


def covers_words(wide_m: float, high_m: float) -> str:
    """`3.60 × 2.25`, `18.7 × 11.7`, `47 × 29`: as exact as the distance is known at best."""
    places = 2 if wide_m < 10.0 else 1 if wide_m < 30.0 else 0
    return f"{wide_m:.{places}f} × {high_m:.{places}f}"


def _short(metres: float) -> str:
    return f"{metres:.2f}" if metres < 1.0 else f"{metres:.1f}" if metres < 10 else f"{metres:.0f}"


def focus_text(answer: FocusTable) -> str:
    """Distance → mark as a table, and both marks where a distance lies between two."""
    head = [
        say("distance"),
        say("covers m"),
        say("set"),
        *(say("sharp at {aperture}", aperture=a) for a in answer.apertures),
        say("good to"),
    ]
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
                    say("  set at {mark} ({basis})", mark=setting.mark, basis=setting.basis),
                    *(sharp_words(depth) for depth in setting.depths),
                    "",
                )
                for setting in row.at_marks
            )
    lines = [
        say(
            "{lens} on {camera}, image {wide_mm:g} × {high_mm:g} mm",
            lens=answer.lens,
            camera=answer.camera,
            wide_mm=answer.wide_mm,
            high_mm=answer.high_mm,
        ),
        say(
            "circle of confusion {blur_mm:.3f} mm ({blur_basis})",
            blur_mm=answer.blur_mm,
            blur_basis=answer.blur_basis,
        ),
        "",
        table(head, rows, right=(0,)),
    ]
    if any(not depth.holds for row in answer.rows for s in row.at_marks for depth in s.depths):
        lines.append(say("* the distance itself is not sharp then"))
    if answer.between is not None:
        b = answer.between
        far = say("infinity") if b.far_m is None else metres_text(b.far_m)
        stop = (
            say("set {aperture}", aperture=b.aperture)
            if b.aperture
            else say("smaller than the lens has")
        )
        lines += [
            "",
            say(
                "Sharp from {near} to {far}: focus {focus_m:.2f} m (set {set_at}), "
                "f/{f_number:.1f} at least: {stop}.",
                near=metres_text(b.near_m),
                far=far,
                focus_m=b.focus_m,
                set_at=b.set_at,
                f_number=b.f_number,
                stop=stop,
            ),
        ]
    lines += ["", *(f"{remark}." for remark in answer.remarks)]
    return "\n".join(line if "\n" in line else clean(line) for line in lines)
