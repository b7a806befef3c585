"""A plan with other user names: those that lent hands got when they became people."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from scheduling.core.planner import Result, Supply

OF_PEOPLE = {"mechanic", "second", "what"}
"""Fields that hold a user name; `what` may hold another id, which no passing name looks like."""


def renamed(result: Result, names: Mapping[str, str]) -> Result:
    """Return the plan with the user names replaced wherever it names people, reasons included."""
    if not names:
        return result
    found: Result = _deep(result, names)
    return found


def _deep(value: Any, names: Mapping[str, str]) -> Any:
    if isinstance(value, Supply) and value.kind == "mechanic":
        return replace(value, name=names.get(value.name, value.name))
    if is_dataclass(value) and not isinstance(value, type):
        return replace(
            value,
            **{
                each.name: _field(each.name, getattr(value, each.name), names)
                for each in fields(value)
            },
        )
    if isinstance(value, tuple):
        return tuple(_deep(each, names) for each in value)
    if isinstance(value, dict):
        return {key: _deep(each, names) for key, each in value.items()}
    return value


def _field(name: str, value: Any, names: Mapping[str, str]) -> Any:
    if name in OF_PEOPLE and isinstance(value, str):
        return names.get(value, value)
    return _deep(value, names)
