"""The site's own parts: marks, machine lines, fields, cautions, charts."""

import pytest
from django import forms
from django.template import Context, Template

from fleet.charts import MonthBar, draw_schedule_compliance
from fleet.models import Caution
from scheduling.models import MachineState
from tests import consequences, factories


def shown(source, **values):
    return Template(source).render(Context(values))


class BookingForm(forms.Form):
    customer = forms.CharField(max_length=3, help_text="or the ranch job")
    urgent = forms.BooleanField(required=False)
    way = forms.ChoiceField(choices=[("in", "in"), ("out", "out")], widget=forms.RadioSelect)


def test_a_mark_shows_its_word():
    assert "coming due" in shown("{% mark 'coming' %}")


@pytest.mark.django_db
def test_a_machine_line_shows_mark_tag_kind_and_the_one_thing_to_know():
    machine = factories.Machine(tag="Q-7", makeup__machine_class__name="Quad")
    consequences.MachineState(machine=machine, state="due", headline="due in 6 days, 23 h left")
    html = shown("{% machine_line machine %}", machine=machine)
    assert ">Q-7</a>" in html
    assert "Quad, Tarnbeck" in html
    assert "due in 6 days, 23\u00a0h left" in html
    assert "<span>due</span>" in html


@pytest.mark.django_db
def test_a_machine_that_was_never_worked_out_is_not_known():
    assert "not known" in shown("{% machine_line machine %}", machine=factories.Machine())


@pytest.mark.django_db
def test_the_last_line_can_be_left_away_or_given():
    machine = factories.Machine()
    consequences.MachineState(machine=machine, headline="all fine")
    assert "all fine" not in shown("{% machine_line m 'held' None %}", m=machine)
    assert "brakes pull" in shown("{% machine_line m 'held' 'brakes pull' %}", m=machine)


@pytest.mark.parametrize(
    ("state", "headline", "sentence"),
    [
        ("overdue", "Oil overdue by 31 h", "Oil overdue by 31\u00a0h"),  # the word is there
        ("clear", "Oil not due within 120 days", "clear: Oil not due within 120 days"),
        ("unknown", "", "not known"),
    ],
)
def test_how_a_machine_stands_always_has_the_word(state, headline, sentence):
    now = MachineState(state=state, headline=headline)
    assert f"<span>{sentence}</span>" in shown("{% standing now %}", now=now)


def test_a_field_ties_label_hint_and_fault_to_its_input():
    form = BookingForm({"customer": "too long", "way": "in"})
    html = shown("{% field form.customer %}", form=form)
    assert '<label for="id_customer">' in html
    assert 'id="id_customer_helptext"' in html
    assert 'id="id_customer_error"' in html
    assert 'aria-describedby="id_customer_helptext id_customer_error"' in html
    assert 'aria-invalid="true"' in html


def test_a_group_of_choices_is_a_fieldset_with_a_legend():
    html = shown("{% field form.way %}", form=BookingForm())
    assert "<fieldset" in html
    assert "<legend>Way" in html


def test_the_faults_of_a_form_are_named_above_it_with_links():
    html = shown('{% include "components/_faults.html" %}', form=BookingForm({"customer": "long"}))
    assert 'role="alert"' in html
    assert '<a href="#id_customer">Customer</a>' in html


def test_a_caution_shows_its_signal_word_and_a_notice_no_triangle():
    danger = Caution(signal="danger", text="It crushes.")
    notice = Caution(signal="notice", text="It stains.")
    assert "DANGER" in shown("{% caution c %}", c=danger)
    assert "<svg" in shown("{% caution c %}", c=danger)
    assert "<svg" not in shown("{% caution c %}", c=notice)


def test_a_chart_comes_with_its_table():
    html = shown("{% chart c %}", c=draw_schedule_compliance([MonthBar("Mar 2026", 9, 1, 0, 0)]))
    assert "<svg" in html
    assert '<th scope="row">Mar 2026</th><td>10</td><td>9</td>' in html
