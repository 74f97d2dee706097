"""The sentences in which the page's script says what a chosen day and minute give.

`{name}` stands where a table's word or number goes.
"""

from __future__ import annotations

from backbearing.saying import phrase

# what of the head stays as it is on any day
HEAD_LEAD = phrase(
    "The sentences over this, the clocks under it and what to mind are those of {day}, {subject}."
)
HEAD_PLANNED = phrase("The sentences over this and what to mind are those of {day}, {subject}.")

WORDS: dict[str, str | list[str]] = {
    "tones": [
        phrase("night"),
        phrase("twilight"),
        phrase("over the horizon, not here"),
        phrase("on the place"),
    ],
    "up": phrase("{degrees}° up"),
    "under": phrase("{degrees}° below the horizon"),
    "sun": phrase("sun {height} at {azimuth}°, {tone}"),
    "no_sun": phrase("the sun stays far down, no light here"),
    "good": phrase("good light {good}"),
    "none": phrase("none"),
    "light": phrase("light {light}"),
    "here": phrase("sun here {sun}"),
    "bar": phrase("{day}, {clock}: {seconds}{sun}; good light {good}."),
    "bar_slim": phrase("{clock}: {first}; good light {good}."),
    "bar_dark": phrase("{day}: {sun}."),
    "seconds": phrase("clear {clear}, overcast {overcast}"),
    "seconds_near": phrase("at {clock} clear {clear}, overcast {overcast}"),
    "head": phrase("Chosen: {day}, {clock}, {subject}: {sun}. Good light {good}. {planned}"),
    "bar_planned": phrase("Planned: {day}."),
    "day": phrase("Chosen: {day} at {subject}: light {light}; sun here {sun}; good light {good}."),
    "walk_here": phrase("The walk below is planned for this day."),
    "walk_other": (
        phrase("The walk below is planned for {day} to {subject}; to plan this one: {command}")
    ),
    "walk_none": phrase("No walk is planned; to plan this one: {command}"),
    "near": phrase("In good light on {day}: {list}."),
    "near_none": phrase("None of the other subjects here has good light on {day}."),
    "shade_none": phrase("No shade"),
    "no_shade": (
        phrase(
            "No shade for {day}, {clock}: this page holds that of {shades}, "
            "and shows it to a week and half an hour from it"
        )
    ),
    "no_shade_low": phrase("No shade at {clock}, {day}: the sun is down"),
    "map": phrase("Chosen: {day}, {clock}. The strip runs to the sun as it stands then: {sun}."),
    "map_dark": phrase("Chosen: {day}, {clock}. The sun is down: no strip runs to it."),
    "strip": phrase("Chosen: {day}, {clock}, at {subject}: {sun}."),
    "exposure": phrase("Chosen: {day}, {clock}, at {subject}, on {kit}: {seconds}."),
    "seconds_day": phrase("as on {day}: {seconds}"),
    "no_seconds": (
        phrase(
            "Chosen: {day} at {subject}: this page holds no seconds of that day, nor of one within "
            "three days of it. To ask for them: {command}"
        )
    ),
    "too_old": phrase(
        "This browser is too old to show the seconds of {day}, {clock}. To ask for them: {command}"
    ),
    "curve_other": phrase("The curve is of {day}."),
    "frame_near": phrase("Chosen: {day}, {clock}: the sun stands within 20° of the camera's line."),
    "frame_off": phrase(
        "Chosen: {day}, {clock}: the sun keeps 20° and more off the camera's line."
    ),
    "frame_low": phrase("Chosen: {day}, {clock}: the sun is down, none in the picture."),
    "frame_unknown": phrase("Chosen: {day}, {clock}: no bearing of the camera is known to tell."),
    "search": phrase("What is searched does not hang on the day; chosen above: {day}."),
    "list": phrase("Chosen: {day}: good light {good}."),
    "sun_label": phrase("sun {azimuth}° at {clock}"),
    "pick": phrase("Choose {day}"),
}
