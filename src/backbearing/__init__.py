"""Backbearing: record a far-off subject, find it again, know the minute its light is right.

Nothing is imported here: each public name is imported from the module that owns it, so
that asking for help costs no numpy. DEVELOPERS.md lists the public names.
"""

__version__ = "0.1.0"
