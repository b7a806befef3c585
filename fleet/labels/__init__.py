"""Labels that are stuck on machines: what stands on one, and sheets of them as a file."""
