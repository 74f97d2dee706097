"""A subject whose place is only remembered: clues, looks, where it likely is, the next walk.

`asked` puts clues and looks on record, `typedclue` reads a clue as it was typed; `ground` cuts the
ground into pieces, along a line or in cells; `fits` says how well each piece fits a clue, `looked`
how likely the subject would have been seen in each; `likelihood` puts them together. `walk` plans
the next walk over `stations` by the `ways` between them; `afterwards` says when to stop looking.
"""

from backbearing.plans.search.likelihood import ClueSays, Likely, where_likely
from backbearing.plans.search.stretches import Stretch

__all__ = ["ClueSays", "Likely", "Stretch", "where_likely"]
