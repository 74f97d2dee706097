"""A subject whose place is only remembered: clues, looks, where it likely is, the next walk.

`asked` reads a clue or a look as it was typed; `ground` cuts the ground into pieces, along a line
or in cells; `fits` says how well each piece fits a clue, `looked` how likely the subject would have
been seen in each; `likelihood` puts them together.
"""

from backbearing.plans.search.likelihood import ClueSays, Likely, Stretch, where_likely

__all__ = ["ClueSays", "Likely", "Stretch", "where_likely"]
