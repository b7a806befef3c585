"""The interface put together: its addresses, its document, and that a key opens it, no sign-in."""

from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.urls import URLPattern, URLResolver, path
from ninja import NinjaAPI
from ninja.openapi.schema import OpenAPISchema

from fleet.version import VERSION
from scheduling.interface import booking_addresses, go_out_address, machine_addresses
from scheduling.interface.problem_details import PROBLEM, say_problems

SAID = """Ask whether machines may go out, and book them, by the same rules as the counter.

Each request carries a key: `Authorization: Bearer KEY`. A manager makes one under Set-up, or
`manage.py make_key NAME --scope SCOPE` does. What cannot be is answered as problem details
(RFC 9457), with a sentence in `detail`. Days are days of the yard, written as 2026-03-05.
"""


class Interface(NinjaAPI):
    """Our addresses, described as they answer."""

    def get_openapi_schema(self, **asked: Any) -> OpenAPISchema:
        """Return the description; what cannot be has a kind of its own (RFC 9457 section 3)."""
        described = super().get_openapi_schema(**asked)
        for operations in described["paths"].values():
            for operation in operations.values():
                for answer in operation["responses"].values():
                    _name_problem(answer)
        return described


def _name_problem(answer: dict[str, Any]) -> None:
    """Give an answer that tells what cannot be the kind as which it is sent."""
    content = answer.get("content", {})
    shape = content.get("application/json", {}).get("schema", {})
    if str(shape.get("$ref", "")).endswith("/ProblemDetails"):
        content[PROBLEM] = content.pop("application/json")


api = Interface(
    title="Evener",
    version=VERSION,
    description=SAID,
    docs_url=None,
    urls_namespace="interface",
    docs_decorator=login_not_required,
)
say_problems(api)
api.add_router("", go_out_address.router)
api.add_router("", booking_addresses.router)
api.add_router("", machine_addresses.router)


def _open(pattern: URLPattern | URLResolver) -> URLPattern | URLResolver:
    """Let an address be asked without signing in: the key takes its place."""
    if isinstance(pattern, URLPattern):
        pattern.callback = login_not_required(pattern.callback)
    return pattern


_patterns, _app, _space = api.urls
paths = [path("api/v1/", ([_open(one) for one in _patterns], _app, _space))]
