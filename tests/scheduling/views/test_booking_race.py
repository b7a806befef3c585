"""Many counters press "Book" for one machine and the same days at once: one of them has it.

RACE_CLIENTS and RACE_ROUNDS make it as long as wished: 50 and 200 on each database, say.
"""

import os
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from fleet.models import Booking
from tests.factories import TODAY
from tests.pages import words
from tests.scheduling.counter_case import open_counter

CLIENTS = int(os.environ.get("RACE_CLIENTS", "6"))
ROUNDS = int(os.environ.get("RACE_ROUNDS", "4"))


def signed_in(desk):
    client = Client()
    client.force_login(desk)
    return client


@pytest.mark.django_db(transaction=True)
def test_each_round_is_won_by_one_and_the_others_are_told_what_else_may_go(client, monkeypatch):
    case = open_counter(client, monkeypatch)
    other = case.another()
    clients = [signed_in(case.desk) for _ in range(CLIENTS)]
    gate = Barrier(CLIENTS)

    def press(n, day):
        typed = {
            "customer": f"Customer {n}", "first_day": day.isoformat(), "value": "1,200",
            "last_day": (day + timedelta(days=1)).isoformat(), "form_key": f"{day} {n}",
        }  # fmt: skip
        gate.wait(60)
        try:
            return clients[n].post(reverse("counter-book", args=["Q-1"]), typed)
        finally:
            connection.close()

    with ThreadPoolExecutor(CLIENTS) as pool:
        for number in range(ROUNDS):
            day = TODAY + timedelta(days=2 * number)
            pages = list(pool.map(press, range(CLIENTS), [day] * CLIENTS))
            won = [page for page in pages if page.status_code == 302]
            lost = [(n, page) for n, page in enumerate(pages) if page.status_code == 200]
            assert (len(won), len(lost)) == (1, CLIENTS - 1), (
                number,
                [p.status_code for p in pages],
            )
            (booking,) = Booking.objects.filter(first_day=day, cancelled_at=None)
            assert won[0].url == reverse("booking", args=[booking.pk])
            for n, page in lost:
                said = words(page)
                assert "booked for" in said
                assert other.tag in said
                assert f'value="Customer {n}"' in page.content.decode()
