"""The same shop with one mechanic-day a week more, or one less."""

from dataclasses import replace

from scheduling.core.replay.past_shop import PastCrew, PastPerson, PastShop

WEEK = 7
"""Days."""
MORE = "one more"
"""Name of the person who comes one day a week."""


def one_more(shop: PastShop) -> PastShop:
    """Return the shop with one person more on one day of each week, with every skill it has.

    It is the weekday on which the shop has the most hours, and the hours are those of its longest
    day of one person in that week.
    """
    crew = shop.crew
    if not crew.people:
        return shop
    weekday = _busiest(crew)
    skills = frozenset[str]().union(*(person.skills for person in crew.people))
    days = len(crew.people[0].hours)
    hours = [
        max(p.hours[day] for p in crew.people) if day % WEEK == weekday else 0.0
        for day in range(days)
    ]
    guest = PastPerson(MORE, skills, tuple(hours))
    return replace(shop, crew=replace(crew, people=(*crew.people, guest)))


def one_less(shop: PastShop) -> PastShop:
    """Return the shop with the person who works most away on that same weekday."""
    crew = shop.crew
    if not crew.people:
        return shop
    weekday = _busiest(crew)
    most = max(
        range(len(crew.people)), key=lambda i: (sum(crew.people[i].hours[weekday::WEEK]), -i)
    )
    person = crew.people[most]
    hours = [0.0 if day % WEEK == weekday else h for day, h in enumerate(person.hours)]
    people = list(crew.people)
    people[most] = replace(person, hours=tuple(hours))
    return replace(shop, crew=replace(crew, people=tuple(people)))


def _busiest(crew: PastCrew) -> int:
    """Return the weekday, counted from the first night's own, with the most hours."""
    hours = [sum(sum(p.hours[day::WEEK]) for p in crew.people) for day in range(WEEK)]
    return hours.index(max(hours))
