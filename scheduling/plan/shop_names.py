"""What a shop's own people call the planner's days and ids."""

from django.conf import settings

from fleet.saying import say_money, say_span, short_date
from scheduling.plan.horizon import ANY_SKILL
from scheduling.plan.shop_problem import ShopFacts, part_id


class ShopNames:
    """Dates for day numbers, and names of work, people and parts, looked up by id."""

    def __init__(self, facts: ShopFacts) -> None:
        self.horizon = facts.horizon
        self.titles = {work.key: work.title for work in facts.work}
        self.tags = {work.key: facts.machines[work.machine].tag for work in facts.work}
        self.people = {worker.username: worker.name for worker in facts.workers}
        self.parts = {part_id(stock): stock.name for stock in facts.shelf.stock.values()}
        self.sites = {str(pk): str(yard) for pk, yard in facts.sites.items()}

    def day(self, number: int) -> str:
        """Return "Thu 3 Dec"."""
        return short_date(self.horizon.date(number), self.horizon.first)

    def days(self, first: int, last: int) -> str:
        """Return "Thu 3 Dec to Sat 5 Dec", or the one day."""
        return say_span(self.horizon.date(first), self.horizon.date(last), self.horizon.first)

    def task(self, key: str) -> str:
        """Return the title of the work."""
        return self.titles.get(key, "other work")

    def task_on(self, key: str) -> str:
        """Return "Oil change on E-07"."""
        return f"{self.titles[key]} on {self.tags[key]}" if key in self.titles else "other work"

    def mechanic(self, key: str) -> str:
        """Return what people call a mechanic."""
        return self.people.get(key, "somebody who has left")

    def skill(self, key: str) -> str:
        """Return the name of a skill; empty for work that asks for none."""
        return "" if key == ANY_SKILL else key

    def part(self, key: str) -> str:
        """Return the name of a part."""
        return self.parts.get(key, "a part")

    def booking(self, key: str) -> str:
        """Return nothing: the days tell which booking it is."""
        return ""

    def yard(self, key: str) -> str:
        """Return "the shop": its yards share mechanics, bays and shelf."""
        return "the shop"

    def site(self, key: str) -> str:
        """Return the name of a remote yard."""
        return self.sites.get(key, "the remote yard")

    def money(self, amount: float) -> str:
        """Return money with its sign."""
        return say_money(amount, settings.CURRENCY)
