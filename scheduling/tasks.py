"""What the queue calls: an id in, one call, nothing else."""
