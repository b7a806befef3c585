"""Middleware: in which language a page is said: the person's own, else the browser's.

Order: what the person chose; what was chosen on this browser before signing in (a cookie); what the
browser asks for (`Accept-Language`); English.  Here for each request alone: tasks, letters and
what is written into the database are English.
"""

from typing import Any

from django.http import HttpRequest, HttpResponseBase
from django.middleware.locale import LocaleMiddleware
from django.utils import translation

from fleet.models import Person
from fleet.tongues.both_languages import APART, language_of_page


class PageLanguage(LocaleMiddleware):
    """Django's own, which knows cookie and browser, with the person before them."""

    def process_request(self, request: HttpRequest) -> None:
        """Go by cookie and browser until the page and its reader are known."""
        super().process_request(request)
        _remember(request, translation.get_language() or "")

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> None:
        """Take the person's own language, on the pages that are said in it."""
        here = request.resolver_match
        speak_to_reader(request, here.view_name if here else "")

    def process_response(
        self, request: HttpRequest, response: HttpResponseBase
    ) -> HttpResponseBase:
        """Name the language in the answer; what runs next on this thread begins in English."""
        answer = super().process_response(request, response)
        translation.deactivate()
        return answer


def speak_to_reader(request: HttpRequest, name: str | None) -> None:
    """Take the language that who asks has chosen; name None: nothing is at the address."""
    role = ""
    # asked first, so that an address without people never looks who comes
    if name is None or name.partition(":")[0] not in APART:
        person = getattr(request, "user", None)
        if isinstance(person, Person):
            role = person.role
            if person.language:
                _remember(request, person.language)
    language = language_of_page(name, getattr(request, "tongue", ""), role)
    translation.activate(language)
    request.LANGUAGE_CODE = language


def _remember(request: HttpRequest, language: str) -> None:
    setattr(request, "tongue", language)  # noqa: B010 - a request has no such field of its own
