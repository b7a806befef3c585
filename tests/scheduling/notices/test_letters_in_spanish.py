"""A mechanic who reads Spanish has letters in Spanish; nobody else's become half of each."""

import re

import pytest
from django.core import mail
from django.urls import reverse
from django.utils.translation import override

from fleet.models import Caution, Fluid, ServiceNeed, Tongue
from scheduling.models import DuePoint, Notice, State
from scheduling.notices.addressees import hearers
from scheduling.notices.day_list import make_day_lists
from scheduling.notices.hold_letters import news_of_holds
from scheduling.notices.night_news import tell_night_news
from scheduling.notices.password_letter import password_letter, with_link
from scheduling.notices.posting import put_all
from tests import consequences, factories
from tests.factories import NOON, TODAY
from tests.fleet.tongues.english_left import english_in

TYPED = ("brakes pull to the left", "road test", "North yard", "Oil", "Service")
"""What people typed, the names of yards and services among it."""

ADDRESS = re.compile(r"https?://[^\s\"<]*|width=device-width")
"""Addresses of pages, and what the head tells the browser."""


@pytest.fixture
def lector(mechanic):
    """The mechanic of the shop, who reads Spanish."""
    mechanic.language = Tongue.SPANISH
    mechanic.save(update_fields=["language"])
    return mechanic


def english_of(letter):
    """Return what is left in English of subject, text and HTML, what people typed left out."""
    text, html = letter.text, ADDRESS.sub("", letter.html)
    for typed in TYPED:
        text, html = text.replace(typed, ""), html.replace(typed, "")
    lines = [f"<p>{line}</p>" for line in text.splitlines() if "http" not in line]
    return english_in("".join(lines)) + english_in(html)


def test_the_list_of_the_day(shop, machine, lector):
    service = factories.Service(name="Hydraulic oil and filter")
    service.cautions.add(
        Caution.objects.create(
            code="c", signal="warning", source="common practice",
            text="A battery gives off gas that explodes. No flame or spark; ground (negative) cable"
            " off first and on last.",
        )
    )  # fmt: skip
    ServiceNeed.objects.create(service=service, place="engine oil")
    Fluid.objects.create(
        makeup=machine.makeup, place="engine oil", grade="10W-30", capacity_ml=3312.24
    )
    job = consequences.PlannedJob(
        plan=consequences.Plan(shop=shop), machine=machine, mechanic=lector, minutes=75
    )
    due_point = consequences.DuePoint(machine=machine, service=service, state=State.DUE)
    consequences.PlannedWork(job=job, service=service, due_point=due_point)
    assert make_day_lists(shop, NOON, TODAY) == 1
    letter = Notice.objects.get()
    assert letter.subject == "Su lista para el lun 2 mar: 1 máquina, 1 h 15 min"
    assert "PRIMERO: el manual" in letter.text
    assert "[!] le toca" in letter.text
    assert '<html lang="es">' in letter.html
    assert "[ ] 3.5 qt aceite" in letter.text
    assert english_of(letter) == []


def test_a_hold_hung_and_released_each_in_their_language(shop, machine, manager, lector):
    hold = factories.Hold(machine=machine, placed_by=factories.Person(), condition="road test")
    people = list(hearers(shop))
    put_all(news_of_holds(shop, NOON, [machine.pk], people), NOON)
    hold.released_at, hold.released_by, hold.released_note = NOON, manager, "balatas nuevas"
    hold.save()
    put_all(news_of_holds(shop, NOON, [machine.pk], people), NOON)
    hung, released = Notice.objects.filter(person=lector).order_by("pk")
    assert hung.subject == "SL-04 retenida: brakes pull to the left"
    assert released.subject == "SL-04 liberada: balatas nuevas"
    assert english_of(hung) == english_of(released) == []
    english = Notice.objects.get(person=manager)
    assert english.subject == "SL-04 held: brakes pull to the left"
    assert '<html lang="en">' in english.html


def test_readings_wanted_and_wear_at_its_limit(shop, machine, lector):
    consequences.MachineState(
        machine=machine, reading_gain=9,
        reading_why="Last read 40 days ago; a reading would narrow the dates of Oil by 9 days.",
    )  # fmt: skip
    consequences.DuePoint(
        machine=machine, service=factories.Service(), state=State.DUE,
        driver=DuePoint.Driver.TREND, why="",
    )  # fmt: skip
    tell_night_news(shop, TODAY, NOON)
    wanted = Notice.objects.get(person=lector, kind=Notice.Kind.READING)
    worn = Notice.objects.get(person=lector, kind=Notice.Kind.TREND)
    assert wanted.subject == "1 lectura pedida"
    assert worn.subject == "Desgaste medido en su límite: 1"
    assert "SL-04 (en el patio)" in wanted.text
    assert english_of(wanted) == english_of(worn) == []


def test_a_new_password_has_its_link(lector):
    letter = password_letter(lector)
    text, html = with_link(letter.text, letter.html, "https://yard.example/new/")
    assert "https://yard.example/new/" in text
    assert "https://yard.example/new/" in html
    assert "(el enlace" not in text + html
    assert letter.subject == "Su contraseña nueva: elíjala con este enlace"
    assert english_in(ADDRESS.sub("", html)) == []


def test_a_test_letter_is_in_the_language_of_the_page(client, lector, settings):
    lector.email = "lector@example.org"
    lector.save()
    client.force_login(lector)
    client.post(reverse("letter-test"))
    assert mail.outbox[0].subject == "Una carta de prueba de Evener"
    assert "no hay que hacer nada" in mail.outbox[0].body.lower()


def test_a_press_in_spanish_makes_no_spanish_letter_to_the_manager(shop, machine, manager):
    factories.Hold(machine=machine, placed_by=factories.Person())
    with override("es"):
        put_all(news_of_holds(shop, NOON, [machine.pk], [manager]), NOON)
    assert Notice.objects.get().subject == "SL-04 held: brakes pull to the left"
