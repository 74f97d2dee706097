"""Elevation rasters in: what they are, and the ground round a spot out of them.

A path names rasters (`finding`, `vrt`), each is opened safely (`files`) and described (`layer`,
`looking`); those round a spot are found by their descriptions alone (`lattice`) and read in
windows (`windows`) with their voids masked (`heights`). `opening` is the door.
"""

from backbearing.readers.terrain.opening import Terrain, open_terrain

__all__ = ["Terrain", "open_terrain"]
