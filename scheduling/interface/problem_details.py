"""What cannot be, as problem details (RFC 9457): a status, a title, and a sentence for a person."""

from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from ninja import Field, NinjaAPI, Schema
from ninja.errors import HttpError, ValidationError

from fleet.refusal import Refusal


class ProblemDetails(Schema):
    """What was wrong: `detail` says it in a sentence, `field` names the part of the request."""

    status: int = Field(examples=[422])
    title: str = Field(examples=["Unprocessable Content"])
    detail: str = Field(examples=["The last day is before the first; swap them."])
    field: str = ""


PROBLEM = "application/problem+json"
"""As what it is sent (RFC 9457 section 3)."""
PROBLEMS = {frozenset({400, 401, 403, 404, 409, 422, 429}): ProblemDetails}
"""Statuses that any address may answer."""


class NotSo(Exception):
    """What was asked cannot be answered: the status, the sentence and the field."""

    def __init__(self, status: int, sentence: str, field: str = "", **headers: str) -> None:
        super().__init__(sentence)
        self.status, self.sentence, self.field = status, sentence, field
        self.headers = {name.replace("_", "-"): value for name, value in headers.items()}


def problem(status: int, sentence: str, field: str = "") -> HttpResponse:
    """Return the answer that says so."""
    title = HTTPStatus(status).phrase
    body = {"status": status, "title": title, "detail": sentence, "field": field}
    return JsonResponse(body, status=status, content_type=PROBLEM)


def say_problems(api: NinjaAPI) -> None:
    """Let the interface say all that cannot be in one shape."""

    @api.exception_handler(NotSo)
    def _not_so(request: HttpRequest, no: NotSo) -> HttpResponse:
        answer = problem(no.status, no.sentence, no.field)
        for name, value in no.headers.items():
            answer[name] = value
        return answer

    @api.exception_handler(Refusal)
    def _refused(request: HttpRequest, no: Refusal) -> HttpResponse:
        return problem(HTTPStatus.CONFLICT, no.sentence, no.field)

    @api.exception_handler(ValidationError)
    def _wrong(request: HttpRequest, wrong: ValidationError) -> HttpResponse:
        first: dict[str, Any] = wrong.errors[0] if wrong.errors else {}
        field = str(first.get("loc", [""])[-1])
        return problem(HTTPStatus.UNPROCESSABLE_ENTITY, _sentence(first, field), field)

    @api.exception_handler(HttpError)
    def _http(request: HttpRequest, error: HttpError) -> HttpResponse:
        if error.status_code == HTTPStatus.BAD_REQUEST:
            return problem(HTTPStatus.BAD_REQUEST, "That is not JSON; send one JSON object.")
        return problem(error.status_code, str(error))


def _sentence(error: dict[str, Any], field: str) -> str:
    """Say in words what the check of types found."""
    if error.get("type") == "missing":
        return f"Say {field!r}: it is missing."
    said = str(error.get("msg", "")).removeprefix("Value error, ")
    if error.get("type") == "value_error":
        return said
    return f"{field}: {said[:1].lower()}{said[1:]}."
