"""Services that a test needs: absence skips it at home, and fails it where all are required."""

import os

import pytest


def require(found: object, what: str) -> None:
    """Go on where the service was found; EVENER_REQUIRE_SERVICES=1 makes its absence a failure."""
    if found:
        return
    if os.environ.get("EVENER_REQUIRE_SERVICES") == "1":
        pytest.fail(f"{what} is required here, and it is not there.", pytrace=False)
    pytest.skip(f"{what} is not there; set EVENER_REQUIRE_SERVICES=1 to make this a failure.")
