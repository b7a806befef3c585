"""Lists to choose from, written without a template for each of their choices.

Django renders two templates for every choice of a list.  A page with four filters over classes,
services and yards spends a tenth of its time on that; written at once they cost next to nothing.
"""

from collections.abc import Mapping
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.http import HttpRequest
from django.utils.formats import localize
from django.utils.html import conditional_escape, escape
from django.utils.safestring import SafeString, mark_safe

SELECT = "django/forms/widgets/select.html"
OPTION = "django/forms/widgets/select_option.html"


class SelectsAtOnce(DjangoTemplates):
    """Renders forms as Django does, lists to choose from without templates."""

    def render(
        self, template_name: str, context: dict[str, Any], request: HttpRequest | None = None
    ) -> str:
        """Return a part of a form as HTML."""
        if template_name == SELECT and _is_plain(context["widget"]):
            return select_html(context["widget"])
        return super().render(template_name, context, request)


def _is_plain(widget: Mapping[str, Any]) -> bool:
    """Tell whether all choices are shown in Django's usual way."""
    groups = widget["optgroups"]
    return all(one["template_name"] == OPTION for _, options, _ in groups for one in options)


def select_html(widget: Mapping[str, Any]) -> SafeString:
    """Return a list to choose from, from the widget's own context."""
    parts = [f'<select name="{escape(widget["name"])}"{_attributes(widget["attrs"])}>']
    for name, options, _ in widget["optgroups"]:
        parts += [f'<optgroup label="{_shown(name)}">'] if name else []
        parts += [_option(one) for one in options]
        parts += ["</optgroup>"] if name else []
    return mark_safe("\n".join([*parts, "</select>"]))  # every part is escaped


def _option(option: Mapping[str, Any]) -> str:
    value, label = escape(str(option["value"])), _shown(option["label"])
    return f'<option value="{value}"{_attributes(option["attrs"])}>{label}</option>'


def _attributes(attributes: Mapping[str, Any]) -> str:
    """Return attributes; True stands for its name alone, False for none."""
    told = ((name, value) for name, value in attributes.items() if value is not False)
    return "".join(
        f" {escape(name)}" if value is True else f' {escape(name)}="{escape(str(value))}"'
        for name, value in told
    )


def _shown(value: Any) -> str:
    return str(conditional_escape(value if isinstance(value, str) else localize(value)))
