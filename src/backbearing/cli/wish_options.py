"""The options that say which light is wanted: `want` keeps it, `light` tries it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

_OPTIONS: tuple[tuple[str, str, str, str], ...] = (
    (
        "--lit-from",
        "lit_from",
        "WORD|DEGREES",
        "front, back, side, left, right, or how far the sun stands off the camera's line, "
        "as 60-120 or '60-120 left'.",
    ),
    ("--sun-height", "sun_altitude_deg", "DEGREES", "Sun above the horizon, as 5-25."),
    ("--sun-azimuth", "sun_azimuth_deg", "DEGREES", "True, clockwise, as 180-240."),
    ("--after-first-sun", "after_first_sun_min", "MINUTES", "Since first sun, as 0-60."),
    ("--before-last-sun", "before_last_sun_min", "MINUTES", "Until last sun, as 0-90."),
    ("--months", "months", "MONTHS", "As Oct-Mar, 10-3 or 4,5,9."),
    ("--weekdays", "weekdays", "DAYS", "As sat,sun or mon-fri."),
    ("--earliest", "earliest", "CLOCK", "Local clock, as 13:00."),
    ("--latest", "latest", "CLOCK", "Local clock; before --earliest it is past midnight."),
    ("--at-least", "minimum_min", "TIME", "Shorter windows are left out, as 20min."),
    ("--other-sky", "other_sky", "CLOCK-CLOCK", "When overcast will do too, as 10:30-15:00."),
)
WISH_NAMES = (*(name for _, name, _, _ in _OPTIONS), "direct_sun")


def wish_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add the wish's options to a command; they arrive as keywords of `WISH_NAMES`."""
    for option, name, metavar, text in reversed(_OPTIONS):
        function = click.option(option, name, metavar=metavar, help=text)(function)
    return click.option(
        "--sun/--no-sun",
        "direct_sun",
        default=None,
        help="Sun on it (on its face, where the way that looks is "
        "on record), or shade. Default: either.",
    )(function)
