"""The pace in words: minutes a kilometre by slope, usual and slow, beside the published rules."""

from __future__ import annotations

from typing import TYPE_CHECKING

from backbearing.writers.text import clean, table

if TYPE_CHECKING:
    from backbearing.plans.pace import PaceAnswer


def pace_text(answer: PaceAnswer) -> str:
    """A sentence with what it rests on, then a line for each slope."""
    rules = list(answer.slopes[0].by_rule_s_per_km)
    head = ["slope", "usual", "slow", "walked", *rules]
    rows = []
    for row in answer.slopes:
        percent = round(row.slope * 100.0)
        slope = "level" if not percent else f"{abs(percent)} % {'up' if percent > 0 else 'down'}"
        rows.append(
            [
                slope,
                _minutes(row.usual_s_per_km),
                _minutes(row.slow_s_per_km),
                "–" if row.walked_km is None else f"{row.walked_km:.1f} km",
                *(_minutes(row.by_rule_s_per_km[rule]) for rule in rules),
            ]
        )
    lines = [
        clean(f"{answer.basis}. Minutes a kilometre, without stops:"),
        table(head, rows, right=range(1, len(head))),
        f"The slow time is {answer.slow:.2f} of the usual one: 85 stretches of 100 took no longer. "
        "Deadlines use it."
        if answer.walks and answer.name == "own"
        else f"The slow time is {answer.slow:.2f} of the rule's: the rules differ by as much "
        "(common practice, no source). Deadlines use it.",
        "An estimate: load, ground, weather and the day decide.",
    ]
    if answer.left_out:
        lines += [
            "Left out:",
            *(clean(f"  track {one.track} {one.name}: {one.why}") for one in answer.left_out),
        ]
    return "\n".join(lines)


def _minutes(seconds: float) -> str:
    return f"{seconds / 60.0:.0f} min"
