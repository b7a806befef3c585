"""What all tests share."""

import os

import pytest
from hypothesis import settings

os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"  # a browser test asks the database too

# how long one drawn case takes says more of the machine than of the code
settings.register_profile("evener", deadline=None)
settings.load_profile("evener")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings):
    """A test database on SQLite starts from a copy: one test alone is then run in seconds."""
    from django.db import connection  # noqa: PLC0415  the settings come first

    from tests.made_tables import start_from_made_tables  # noqa: PLC0415

    if connection.vendor == "sqlite":
        start_from_made_tables(connection.creation)
