"""What is said in the language of the page, and the choice of that language."""

import re
from html import unescape
from typing import Any

from django import template
from django.http import HttpRequest
from django.utils.html import escape
from django.utils.safestring import SafeString

from fleet.models import Tongue
from fleet.tongues import phrase_book

register = template.Library()
_WRITTEN = re.compile(">([^<>]*[A-Za-z][^<>]*)<")


@register.filter
def spoken(sentence: object) -> str:
    """Say a sentence that Python made in the language of the page: {{ message|spoken }}."""
    return phrase_book.spoken(sentence)


@register.filter
def spoken_each(sentences: list[str]) -> str:
    """Say sentences that Python made beside each other: {{ changes|spoken_each }}."""
    return "; ".join(map(phrase_book.spoken, sentences))


@register.filter
def spoken_drawing(drawing: str) -> SafeString:
    """Say what stands in a drawing of ours in the language of the page; its lines stay."""
    return SafeString(_WRITTEN.sub(_spoken_text, drawing))


def _spoken_text(written: re.Match[str]) -> str:
    return f">{escape(phrase_book.spoken(unescape(written[1])))}<"


@register.inclusion_tag("components/_language.html", takes_context=True)
def languages(context: template.Context) -> dict[str, Any]:
    """Show a press for each language that is not the chosen one: {% languages %}."""
    request: HttpRequest | None = context.get("request")
    chosen = getattr(request, "tongue", "") or Tongue.ENGLISH
    return {
        "others": [one for one in Tongue if one != chosen],
        "back_to": request.get_full_path() if request and request.method == "GET" else "",
        "csrf_token": context.get("csrf_token"),
        "request": request,
    }
