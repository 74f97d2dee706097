"""Pure functions on arrays: no files, no clock, no global state."""
