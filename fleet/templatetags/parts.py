"""Template tags of the site's own parts: marks, machine lines, fields of a form, cautions."""

from typing import Any

from django import template
from django.forms import BoundField, CheckboxInput
from django.utils.safestring import SafeString, mark_safe

from fleet.charts import Chart
from fleet.marks import mark_html, mark_of
from fleet.models import Caution, Machine
from fleet.saying import capital, unbroken

register = template.Library()


@register.simple_tag
def mark(state: str, word: object = "", size: str = "") -> SafeString:
    """Show a state's mark: {% mark "due" %}; size small or large; a word of one's own."""
    return mark_safe(mark_html(state, word, size))


@register.inclusion_tag("components/_machine_line.html")
def machine_line(
    machine: Machine, state: str = "", know: str | None = "", leads: str = ""
) -> dict[str, object]:
    """Show a machine as it is always shown: mark, tag, kind, the one thing to know.

    Without a state it shows machine.now; fetch now and makeup__machine_class with the machine.
    know=None leaves the last line away.  leads: where its tag leads, if not to its page.
    """
    # touched only where it is needed: on a machine fetched without it, it costs a query
    now = getattr(machine, "now", None) if not state or know == "" else None
    known = (now.headline or capital(now.missing) if now else "") if know == "" else know
    return {
        "machine": machine,
        "kind": kind_of(machine),
        "state": state or (now.state if now else "unknown"),
        "know": unbroken(known or ""),
        "leads": leads or machine.get_absolute_url(),
    }


@register.simple_tag
def standing(now: Any) -> SafeString:
    """Say how a machine stands, its state word always there: {% standing machine.now %}."""
    known = unbroken(now.headline or capital(now.missing))
    word = mark_of(now.state).word
    if word in known.lower():
        return mark(now.state, known)
    return mark(now.state, f"{word}: {known}" if known else word)


@register.filter
def kind_of(machine: Machine) -> str:
    """Show what kind of machine it is: class, maker and model."""
    return f"{machine.makeup.machine_class}, {machine.makeup}"


@register.inclusion_tag("components/_field.html")
def field(bound: BoundField, css: str = "", *, filter: bool = False) -> dict[str, Any]:
    """Show one field of a form: label, hint, fault, field: {% field form.first_day %}."""
    return {
        "field": bound,
        "css": css,
        "filter": filter,
        "group": bound.use_fieldset,
        "tick": isinstance(bound.field.widget, CheckboxInput),
        "described_by": bound.aria_describedby if bound.use_fieldset else "",
    }


@register.inclusion_tag("components/_caution.html")
def caution(item: Caution, *, fold: bool = False) -> dict[str, object]:
    """Show a caution; fold: a press makes one line of it, and whole again."""
    return {"caution": item, "fold": fold}


@register.inclusion_tag("components/chart.html")
def chart(drawn: Chart) -> dict[str, object]:
    """Show a chart with its key and its table: {% chart weeks %}."""
    return {"chart": drawn}
