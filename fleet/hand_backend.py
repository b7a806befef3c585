"""Signing in by a yard code; a wrong one is counted like a wrong password, by its address."""

from typing import Any

from django.contrib.auth.backends import ModelBackend
from django.http import HttpRequest

from fleet.models import HandKey, Person
from fleet.queries.hand_ways import key_of_code


class HandBackend(ModelBackend):
    """Knows a hand by their code; for everybody else it says nothing."""

    def authenticate(  # type: ignore[override]
        self, request: HttpRequest | None, yard_code: str | None = None, **more: Any
    ) -> Person | None:
        """Return whose code it is; the key stands on the person as `came_by`."""
        key: HandKey | None = key_of_code(yard_code) if yard_code else None
        if key is None:
            return None
        key.person.came_by = key  # type: ignore[attr-defined]
        return key.person
