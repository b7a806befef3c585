"""What the demo command does, step by step."""
