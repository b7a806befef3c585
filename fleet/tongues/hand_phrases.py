"""Phrases that Python puts together from parts, as they read when they are whole.

They stand here to be gathered into the catalogue; their places are numbered, and what fills them
is translated too.
"""

PHRASES = (
    "{0} ago",
    "in {0}",
    "1 day",
    "{0} days",
    "1 month",
    "{0} months",
    "1 year",
    "{0} years",
    "on {0}",
    "not before {0}",
    "between {0} and {1}",
    "{0} to {1}",
    "{0} cycles",
)
WORDS = (
    "today", "tomorrow", "yesterday", "cycles",
    "Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun",
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    "January", "February", "March", "April", "June", "July", "August", "September", "October",
    "November", "December", "Name", "Password", "Yard", "Counter", "Bench", "Machines", "Notices",
    "Set-up",
)  # fmt: skip
