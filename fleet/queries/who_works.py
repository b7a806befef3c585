"""Where people work on a day: in their own shop, or lent to another."""

from datetime import date, datetime, timedelta

from django.db.models import Q, QuerySet

from fleet.models import Absence, LentHand, Machine, Person, Role, Shop


def hands_at(shop: Shop, first_day: date, last_day: date | None = None) -> QuerySet[Person]:
    """Return who is lent to a shop on a day, or on some day of several."""
    lent = LentHand.objects.filter(
        shop=shop, first_day__lte=last_day or first_day, last_day__gte=first_day
    )
    return Person.objects.filter(pk__in=lent.values("person"), is_active=True)


def workers_at(shop: Shop, first_day: date, last_day: date | None = None) -> QuerySet[Person]:
    """Return the mechanics of a shop and who is lent to it on those days."""
    hands = hands_at(shop, first_day, last_day)
    return Person.objects.filter(
        Q(shop=shop, role="mechanic") | Q(pk__in=hands.values("pk")), is_active=True
    )


def machines_at_work(person: Person, day: date) -> QuerySet[Machine]:
    """Return the machines that a person may look at, and those of the shop they are lent to."""
    rows = Machine.objects.select_related("makeup__machine_class", "yard__shop")
    if person.only_shop_id is None:
        return rows
    lent = LentHand.objects.filter(person=person, first_day__lte=day, last_day__gte=day)
    return rows.filter(Q(yard__shop=person.only_shop_id) | Q(yard__shop__in=lent.values("shop")))


def shop_on(person: Person, day: date) -> Shop | None:
    """Return the shop in which somebody works on a day."""
    lent = LentHand.objects.filter(person=person, first_day__lte=day, last_day__gte=day)
    hand = lent.select_related("shop").first()
    return hand.shop if hand else person.shop


def only_days_off(absence: Absence) -> bool:
    """Whether somebody is away on days alone on which they do not work anyway."""
    hours = absence.person.working_hours.filter(hours__gt=0).values_list("weekday", flat=True)
    number = (absence.last_day - absence.first_day).days + 1
    away = {(absence.first_day + timedelta(days=n)).weekday() for n in range(min(number, 7))}
    return not away & set(hours)


def noted_days_off(person: Person, now: datetime) -> list[Absence]:
    """Return the absences noted at this moment that change nothing: they lie on days off."""
    noted = person.absences.filter(at=now).select_related("person")
    return [absence for absence in noted if only_days_off(absence)]


def say_days_off(absence: Absence) -> str:
    """Say that an absence changes nothing."""
    return f"{absence.person} does not work on those days anyway, so no plan changes."


def working_in(shop: Shop) -> QuerySet[Person]:
    """Return who has working hours in a shop, by name."""
    rows = Person.objects.filter(shop=shop, is_active=True, working_hours__isnull=False)
    return rows.distinct().order_by("first_name", "username")


def working_elsewhere(shop: Shop) -> QuerySet[Person]:
    """Return who has working hours in another shop, by the name they sign in with."""
    rows = Person.objects.filter(is_active=True, working_hours__isnull=False, shop__isnull=False)
    return rows.exclude(shop=shop).distinct().order_by("username")


def alone(person: Person) -> QuerySet[Person]:
    """Return that person and nobody else, for a choice of one."""
    return Person.objects.filter(pk=person.pk)


def mechanics_open_to(person: Person, day: date) -> list[Person]:
    """Return the mechanics whose lists a person may open: their own, or all of their shop.

    The lists of hands lent to the shop that day are open to all there: they have no sign-in.
    """
    shop = shop_on(person, day)
    if person.role == Role.MECHANIC and not person.manages:
        return [person, *(hands_at(shop, day).exclude(pk=person.pk) if shop else ())]
    rows = workers_at(shop, day) if shop else Person.objects.filter(role=Role.MECHANIC)
    rows = rows.filter(is_active=True).select_related("shop")
    return list(rows.order_by("first_name", "username"))
