"""Log lines that programs can read, with the request or job that they belong to, and no secrets.

One JSON object a line (LOG_FORMAT=json), or plain words for a terminal.  The number of a request
comes from the proxy (X-Request-ID) or is made here, and stands in the answer too.
"""

import json
import logging
import re
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Any
from urllib.parse import unquote, urlsplit
from uuid import uuid4

from django.http import HttpRequest, HttpResponse

WORK: ContextVar[dict[str, str]] = ContextVar("what a log line belongs to", default={})  # noqa: B039
"""{"request": number} or {"job": number, "task": name}; never changed, only replaced."""

HIDDEN = "[hidden]"
PATTERNS = (
    (re.compile(r"(?i)\b(bearer|basic)\s+[\w.~+/=-]+"), rf"\1 {HIDDEN}"),
    (re.compile(r"(://[^/\s:@]*):[^@\s/]+@"), rf"\1:{HIDDEN}@"),
    (re.compile(r"(?i)\b(password|passwd|secret|token|csrfmiddlewaretoken|sessionid|csrftoken)"
                r"(['\"]?\s*[=:]\s*['\"]?)[^\s'\"&,;)}]+"), rf"\1\2{HIDDEN}"),
    (re.compile(r"/(calendar|bookings|in-hand|stop|feeds)/[^/\s\"']*[.:][^/\s\"']{20,}"),
     rf"/\1/{HIDDEN}"),
)  # fmt: skip
"""What is hidden wherever it stands: keys of programs, passwords, signed addresses."""
GOOD_NUMBER = re.compile(r"[\w.-]{1,64}")


class Secrets:
    """The site's own secrets, to be hidden by value; short ones would hide ordinary words."""

    SHORTEST = 6

    def __init__(self, values: list[str]) -> None:
        self.values = sorted({v for v in values if len(v) >= self.SHORTEST}, key=len, reverse=True)

    def hidden(self, text: str) -> str:
        """Return a text without any of them."""
        for value in self.values:
            text = text.replace(value, HIDDEN)
        for pattern, instead in PATTERNS:
            text = pattern.sub(instead, text)
        return text


def password_in(url: str) -> list[str]:
    """Return the password in an address, as it is written there and as it is meant."""
    password = urlsplit(url).password or ""
    return [password, unquote(password)]


class JsonLines(logging.Formatter):
    """Each record as one line of JSON."""

    def __init__(self, secrets: list[str]) -> None:
        super().__init__()
        self.secrets = Secrets(secrets)

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "from": record.name,
            "said": self.secrets.hidden(record.getMessage()),
            **WORK.get(),
        }
        if record.exc_info:
            line["error"] = self.secrets.hidden(self.formatException(record.exc_info))
        return json.dumps(line, ensure_ascii=False)


class PlainLines(logging.Formatter):
    """The same in words, for a terminal."""

    def __init__(self, secrets: list[str]) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s%(work)s: %(message)s")
        self.secrets = Secrets(secrets)

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        work = WORK.get()
        record.work = "".join(f" {name}={value}" for name, value in work.items())
        return self.secrets.hidden(super().format(record))


class RequestNumbers:
    """Middleware: each request gets a number, in its log lines and in its answer."""

    def __init__(self, get_response: Any) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer a request under its number."""
        given = request.headers.get("X-Request-ID", "")
        number = given if GOOD_NUMBER.fullmatch(given) else uuid4().hex
        token = WORK.set({"request": number})
        try:
            answer: HttpResponse = self.get_response(request)
        finally:
            WORK.reset(token)
        answer["X-Request-ID"] = number
        return answer


def job_begins(task_id: str = "", task: Any = None, args: Any = None, **_: Any) -> None:
    """Let the log lines of a job name it (signal task_prerun)."""
    entry = f" {args[0]}" if args else ""
    name = str(getattr(task, "name", "")).rpartition(".")[2]
    WORK.set({"job": str(task_id), "task": f"{name}{entry}"})


def job_ends(**_: Any) -> None:
    """Let the lines that follow name no job (signal task_postrun)."""
    WORK.set({})
