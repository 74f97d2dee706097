"""The sentences in which the page's script says what a chosen day and minute give.

`{name}` stands where a table's word or number goes.
"""

from __future__ import annotations

WORDS: dict[str, str | list[str]] = {
    "tones": ["night", "twilight", "over the horizon, not here", "on the place"],
    "up": "{degrees}° up",
    "under": "{degrees}° under",
    "sun": "sun {height} at {azimuth}°, {tone}",
    "no_sun": "the sun stays far down, no light here",
    "good": "good light {good}",
    "none": "none",
    "light": "light {light}",
    "here": "sun here {sun}",
    "bar": "{day}, {clock}: {sun}; good light {good}.",
    "bar_dark": "{day}: {sun}.",
    "seconds": "{clock} on {kit}: clear {clear}, overcast {overcast}",
    "head": "Chosen: {day}, {clock}, {subject}: {sun}. Good light {good}. {planned}",
    "head_lead": "The other words and clocks here are those of {day}, {subject}.",
    "bar_planned": "Planned: {day}.",
    "day": "Chosen: {day} at {subject}: light {light}; sun here {sun}; good light {good}.",
    "walk_here": "The walk below is planned for this day.",
    "walk_other": ("The walk below is planned for {day} to {subject}; to plan this one: {command}"),
    "walk_none": "No walk is planned; to plan this one: {command}",
    "near": "In good light on {day}: {list}.",
    "near_none": "None of the other subjects here has good light on {day}.",
    "shade": "Shade at {clock}, {day}",
    "no_shade": (
        "No shade for {day}, {clock}: this page holds that of {shades}, and shows it to a week "
        "and half an hour from it"
    ),
    "no_shade_low": "No shade at {clock}, {day}: the sun is down",
    "map": "Chosen: {day}, {clock}. The strip runs to the sun as it stands then: {sun}.",
    "map_dark": "Chosen: {day}, {clock}. The sun is down: no strip runs to it.",
    "strip": "Chosen: {day}, {clock}, at {subject}: {sun}.",
    "exposure": "Chosen: {day} at {subject}, on {kit}.",
    "no_seconds": (
        "Chosen: {day} at {subject}: this page holds no seconds of that day; they are told for "
        "{days}. To ask for them: {command}"
    ),
    "curve_other": "The curve is of {day}.",
    "frame_near": "Chosen: {day}, {clock}: the sun stands within 20° of the camera's line.",
    "frame_off": "Chosen: {day}, {clock}: the sun keeps 20° and more off the camera's line.",
    "frame_low": "Chosen: {day}, {clock}: the sun is down, none in the picture.",
    "frame_unknown": "Chosen: {day}, {clock}: no bearing of the camera is known to tell.",
    "search": "What is searched does not hang on the day; chosen above: {day}.",
    "list": "Chosen: {day}: good light {good}.",
    "clear": "clear",
    "overcast": "overcast",
    "clock_head": "Clock",
    "sun_label": "sun {azimuth}° at {clock}",
    "pick": "Choose {day}",
    "dayline": "Light of {day} by the clock",
}
