"""Machines that a page speaks of in several places, each fetched once and shared by its rows."""

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from fleet.models import Machine, MakeUp, Shop, Yard


class KnownMachines:
    """The machines of one shop that were asked for so far, with all that a line of them shows.

    To make the rows of a make-up, a class, a yard and a shop anew beside each booking and each
    service takes longer than to ask for them: here each is made once.
    """

    def __init__(self, shop: Shop) -> None:
        self._shop = shop
        self._machines: dict[int, Machine] = {}
        self._makeups: dict[int, MakeUp] = {}
        self._yards: dict[int, Yard] = {}

    def of(self, pks: Collection[int]) -> Mapping[int, Machine]:
        """Return machines by key; at most three queries, none for what is known."""
        lacking = set(pks) - self._machines.keys()
        if lacking:
            rows = list(Machine.objects.filter(pk__in=lacking).select_related("now"))
            self._learn_parents(rows)
            for machine in rows:
                machine.makeup = self._makeups[machine.makeup_id]
                machine.yard = self._yards[machine.yard_id]
                self._machines[machine.pk] = machine
        return self._machines

    def beside(self, rows: Iterable[Any]) -> None:
        """Put its machine beside each row that names one."""
        rows = list(rows)
        known = self.of({row.machine_id for row in rows})
        for row in rows:
            row.machine = known[row.machine_id]

    def _learn_parents(self, machines: Iterable[Machine]) -> None:
        makeups = {machine.makeup_id for machine in machines} - self._makeups.keys()
        if makeups:
            found = MakeUp.objects.select_related("machine_class").filter(pk__in=makeups)
            self._makeups |= {makeup.pk: makeup for makeup in found}
        yards = {machine.yard_id for machine in machines} - self._yards.keys()
        if yards:
            for yard in Yard.objects.filter(pk__in=yards):
                if yard.shop_id == self._shop.pk:
                    yard.shop = self._shop
                self._yards[yard.pk] = yard
