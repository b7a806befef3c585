"""Template tags of the site's own parts: marks, machine lines, fields of a form, cautions."""

from collections.abc import Iterable
from typing import Any

from django import template
from django.forms import BoundField, CheckboxInput
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from fleet.charts import Chart
from fleet.marks import mark_html, mark_of
from fleet.models import Caution, Machine, Tongue
from fleet.saying import capital, unbroken
from fleet.tongues.phrase_book import spoken

register = template.Library()


@register.simple_tag
def mark(state: str, word: object = "", size: str = "") -> SafeString:
    """Show a state's mark: {% mark "due" %}; size small or large; a word of one's own."""
    return mark_safe(mark_html(state, spoken(word or mark_of(state).word), size))


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
        "know": unbroken(spoken(known or "")),
        "leads": leads or machine.get_absolute_url(),
    }


@register.simple_tag
def standing(now: Any) -> SafeString:
    """Say how a machine stands, its state word always there: {% standing machine.now %}."""
    known = now.headline or capital(now.missing)
    word = mark_of(now.state).word
    said = unbroken(spoken(known))
    if word in known.lower():
        return mark_safe(mark_html(now.state, said))
    return mark_safe(mark_html(now.state, f"{spoken(word)}: {said}" if known else spoken(word)))


@register.filter
def kind_of(machine: Machine) -> str:
    """Show what kind of machine it is: class, maker and model."""
    return f"{spoken(machine.makeup.machine_class)}, {machine.makeup}"


@register.inclusion_tag("components/_field.html")
def field(bound: BoundField, css: str = "", *, filter: bool = False) -> dict[str, Any]:
    """Show one field of a form: label, hint, fault, field: {% field form.first_day %}."""
    widget = bound.field.widget
    choices = getattr(widget, "choices", None)
    if choices is not None:  # a list of rows would be asked for whether it has any
        widget.choices = in_language(choices)
    if "placeholder" in widget.attrs:
        widget.attrs["placeholder"] = spoken(widget.attrs["placeholder"])
    return {
        "field": bound,
        "css": css,
        "filter": filter,
        "group": bound.use_fieldset,
        "tick": isinstance(bound.field.widget, CheckboxInput),
        "described_by": bound.aria_describedby if bound.use_fieldset else "",
    }


def in_language(choices: Iterable[Any]) -> Iterable[Any]:
    """Return the choices of a field in the language of the page; an English page has them so."""
    if get_language() == Tongue.ENGLISH:
        return choices
    return [
        (value, in_language(said) if isinstance(said, list | tuple) else spoken(said))
        for value, said in choices
    ]


@register.inclusion_tag("components/_caution.html")
def caution(item: Caution, *, fold: bool = False) -> dict[str, object]:
    """Show a caution; fold: a press makes one line of it, and whole again."""
    return {"caution": item, "fold": fold}


@register.inclusion_tag("components/chart.html")
def chart(drawn: Chart) -> dict[str, object]:
    """Show a chart with its key and its table: {% chart weeks %}."""
    return {"chart": drawn}
