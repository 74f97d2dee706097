"""Outside files in, records out: one reader for each kind of file."""
