"""An outing from door to door: when to leave, pass, expose, turn back, and what else is near.

`asked` reads what was typed; `plan` answers it: the way (`plans.approach`) with what its legs
are like (`ground`), the clock of a window (`day`), exposures (`seconds`), other subjects
(`near`).
"""

from backbearing.plans.outing.answer import OutingAnswer
from backbearing.plans.outing.asked import ask_other_days, ask_outing
from backbearing.plans.outing.clocks import Question
from backbearing.plans.outing.day import Needs
from backbearing.plans.outing.plan import outing

__all__ = ["Needs", "OutingAnswer", "Question", "ask_other_days", "ask_outing", "outing"]
