"""A question in, an immutable answer out: where files and models meet."""
