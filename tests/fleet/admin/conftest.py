"""What the tests of the set-up sheets share."""

import pytest

from fleet.changed_facts import facts_changed


@pytest.fixture
def told():
    """Collects the machines that were told of."""
    heard: set[int] = set()

    def listen(machine_ids: set[int], **kwargs: object) -> None:
        heard.update(machine_ids)

    facts_changed.connect(listen)
    yield heard
    facts_changed.disconnect(listen)
