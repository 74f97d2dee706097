"""The notebook: one GeoPackage file that holds everything on record.

`open_notebook` is the door; `tracks`, `subjects`, `bin`, `settings` and `integrity` hold what
is asked of it. Nothing here loads numpy until a track's fixes are asked for.
"""

from backbearing.notebook.connection import Notebook, open_notebook

__all__ = ["Notebook", "open_notebook"]
