"""What became of the lists: what stood on them, what was done, and why the two differ."""
