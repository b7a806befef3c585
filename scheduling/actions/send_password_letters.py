"""A letter with a link to a new password is owed to whoever asks for it, seldom enough."""

from datetime import datetime, timedelta

from django.db import transaction

from fleet.models import Person
from fleet.password_links import may_have_link
from fleet.queries.mine import home_shop
from scheduling.models import Notice
from scheduling.notices.causes import NoticeCause
from scheduling.notices.password_letter import password_letter
from scheduling.notices.posting import NewNotice, put

APART = timedelta(minutes=5)
"""How long after one letter the next may follow: nobody fills another's mail (our judgement)."""
MOST_A_DAY = 5
KIND = Notice.Kind.PASSWORD


@transaction.atomic
def send_password_letter(username: str, *, now: datetime) -> Notice | None:
    """Owe the letter; None where nobody has that name or a password, or had letters enough."""
    person = Person.objects.select_for_update(no_key=True).filter(username=username).first()
    if person is None or not may_have_link(person):
        return None
    shop = home_shop(person)
    had = Notice.objects.filter(person=person, kind=KIND)
    lately = had.filter(made_at__gt=now - timedelta(days=1))
    too_soon = lately.filter(made_at__gt=now - APART).exists() or lately.count() >= MOST_A_DAY
    if shop is None or too_soon:
        return None
    letter = password_letter(person)
    return put(NewNotice(NoticeCause(KIND), person, shop, letter, round=had.count()), now)
