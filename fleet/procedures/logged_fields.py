"""What of a step the change log tells."""

LOGGED_FIELDS = (
    "position", "kind", "text", "tool", "only_on", "caution", "place", "share", "first_share",
    "measures", "figure", "turning_order", "required", "source", "drawing", "picture",
)  # fmt: skip
"""Fields of a step that the change log tells."""
