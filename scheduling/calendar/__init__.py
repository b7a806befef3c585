"""Shop days as a calendar that phones and desks can subscribe to (iCalendar, RFC 5545)."""
