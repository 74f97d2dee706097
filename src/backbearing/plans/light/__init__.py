"""When is the light right? Ranked windows for subjects, from the light wanted at each.

`question` reads what was typed; `best` answers it: the minutes of each subject's local days
(`spot`), its wish over them (`at`, in words `why`, or why not `unmatched`), and all subjects'
windows in one order (`order`); one share of the subjects at a time (`share`), where it pays in
several processes (`processes`).
"""

from backbearing.plans.light.best import (
    FLAT_HORIZON,
    SKYLINE_FROM,
    JudgedWish,
    LightAnswer,
    best_light,
)

__all__ = ["FLAT_HORIZON", "SKYLINE_FROM", "JudgedWish", "LightAnswer", "best_light"]
