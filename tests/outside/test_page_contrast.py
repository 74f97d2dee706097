"""Text on the page stands out from its ground in both schemes.

Source: W3C, Web Content Accessibility Guidelines 2.2: success criterion 1.4.3 (4.5 : 1 for
text), 1.4.11 (3 : 1 for what a drawing needs), and its definition of relative luminance.
"""

from __future__ import annotations

import re
from importlib import resources

import pytest

CSS = (resources.files("backbearing.writers.page") / "page.css").read_text(encoding="utf-8")


def luminance(colour: str) -> float:
    digits = colour if len(colour) == 6 else "".join(c * 2 for c in colour)
    channels = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def schemes() -> list[dict[str, str]]:
    blocks = re.findall(r":root\{([^}]*)\}", CSS)
    return [dict(re.findall(r"--(\w+):#([0-9a-f]{3,6})\b", block)) for block in blocks]


def test_black_on_white_is_21_to_1() -> None:
    assert contrast("000", "fff") == pytest.approx(21.0)


@pytest.mark.parametrize("scheme", [0, 1, 2], ids=["light", "dark", "print"])
def test_contrast_holds(scheme: int) -> None:
    colours = schemes()[scheme]
    for ground in ("paper", "mapbase"):
        for text in ("ink", "ink2", "red"):
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
    if "focus" in colours:
        assert contrast(colours["focus"], colours["paper"]) >= 3.0
