"""Coordinates, bearings, lengths and zones as people write them."""
