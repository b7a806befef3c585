"""The interface: other programs ask and act by the same queries and actions as the pages.

JSON over HTTP, described by its own OpenAPI document; a key in `Authorization: Bearer` (RFC 6750);
what cannot be is said as problem details (RFC 9457).
"""
