"""The small planned shop of the trials' tests."""

from tests.scheduling.trial.conftest import (  # noqa: F401  fixtures
    bo,
    due_in,
    filter_part,
    mechanic,
    oil,
    planned,
    refreshed,
    shop,
    yard,
)
