"""Lists to choose from are those that Django's own templates make."""

import re

import pytest
from django import forms
from django.forms.renderers import DjangoTemplates, get_default_renderer
from django.utils.safestring import mark_safe

from fleet.forms.select_rendering import SelectsAtOnce

PLAIN = [("", "every class"), (3, "Quad & side-by-side"), ("a<b", 'say "so"'), (None, 1200)]
GROUPED = [("", "any"), ("North & south", [(1, "one"), (2, mark_safe("<i>two</i>"))])]


@pytest.mark.parametrize("choices", [PLAIN, GROUPED, []])
@pytest.mark.parametrize("kind", [forms.Select, forms.SelectMultiple])
@pytest.mark.parametrize("attrs", [{}, {"id": "x", "required": True, "hidden": False, "size": 3}])
def test_they_are_as_django_makes_them(choices, kind, attrs):
    widget = kind(choices=choices)
    value = ["3", "2"] if kind is forms.SelectMultiple else "3"
    ours, theirs = (
        re.sub(r"\s*\n\s*", "", widget.render("class", value, attrs, renderer()))
        for renderer in (SelectsAtOnce, DjangoTemplates)
    )
    assert ours == theirs


def test_the_site_renders_its_forms_so():
    assert isinstance(get_default_renderer(), SelectsAtOnce)


def test_a_choice_with_a_template_of_its_own_is_left_to_it():
    class Marked(forms.Select):
        option_template_name = "django/forms/widgets/input_option.html"

    widget = Marked(choices=PLAIN)
    ours = widget.render("class", "3", {}, SelectsAtOnce())
    assert ours == widget.render("class", "3", {}, DjangoTemplates())
