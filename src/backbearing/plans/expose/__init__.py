"""How many seconds? A subject's light, a meter's reading and a batch, to an exposure.

`question` reads what was typed and answers it, with batch, lens and position by `choosing`;
`seconds` goes from EV to seconds for one batch; `course` is a day's light minute by minute, told
in `clockrows`; `sunthen` and `moonthen` say where sun and moon are to the face; `contrast` weighs
it against the batch, `shutters` against theirs; `meter` reads a meter's words; `tables` is
what is taken along, for the light of `tablelight`.
"""

from backbearing.plans.expose.question import ExposeAnswer, ask_expose
from backbearing.plans.expose.tables import TripodTables, ask_tables, tripod_tables

__all__ = ["ExposeAnswer", "TripodTables", "ask_expose", "ask_tables", "tripod_tables"]
