"""`{% csrf_token %}` of every form, with a key beside it, so that a form sent twice acts once.

Whatever posts has to carry the token, so no form can be without its key.  Before an x the key has
the number of who is asked to press, by which a phone knows whose a press is that waits on it.
"""

from secrets import token_hex

from django import template
from django.template.base import Parser, Token
from django.template.context import Context
from django.template.defaulttags import CsrfTokenNode
from django.utils.html import format_html
from django.utils.safestring import SafeString

from fleet.actions.press_once import KEY_FIELD

register = template.Library()


class FormKeysNode(CsrfTokenNode):
    """Both hidden fields."""

    def render(self, context: Context) -> SafeString:
        """Return the token as Django writes it, and a key made for this form alone."""
        person = getattr(getattr(context.get("request"), "user", None), "pk", None) or ""
        text = f"{person}x{token_hex(10)}"
        key = format_html('<input type="hidden" name="{}" value="{}">', KEY_FIELD, text)
        return SafeString(super().render(context)) + key


@register.tag
def csrf_token(parser: Parser, token: Token) -> FormKeysNode:
    """Take the place of Django's own tag of this name."""
    return FormKeysNode()
