"""What a service of a make-up counts as beside itself: "covers", a list of services in one cell."""

import re
from collections.abc import Sequence

from fleet.bring_in.import_run import ImportRun
from fleet.bring_in.make_missing import service_named
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.typed_sheets import SheetRow
from fleet.models import Covering, Machine, MakeUp, Service

PARTED = re.compile(r"\s*[;,\n]\s*|\s+\+\s+")
"""What stands between two services of a cell."""
Pair = tuple[int, int, int]
"""Make-up, service and what it covers, by `id()`: those of an import have no numbers yet."""


class Coverings:
    """The coverings of the site and of an import under way."""

    def __init__(self, run: ImportRun) -> None:
        self.run = run
        services = {one.pk: one for one in run.site.services.exact.values() if one.pk}
        makeups = {
            one.pk: one for rows in run.site.makeups.exact.values() for one in rows if one.pk
        }
        self.known: set[Pair] = {
            (id(makeups[row.makeup_id]), id(services[row.service_id]), id(services[row.covered_id]))
            for row in Covering.objects.all()
        }

    def bring(self, row: SheetRow, service: Service, targets: Sequence[MakeUp | Machine]) -> int:
        """Let a service count as those that a row's cell names; returns how many were added.

        Raises:
            RowTrouble: for one machine alone, for the service itself and for a circle.

        """
        makeups = [one for one in targets if isinstance(one, MakeUp)]
        fresh: list[tuple[MakeUp, Service]] = []
        for name in filter(None, PARTED.split(row.text("covers"))):
            if not makeups:
                raise RowTrouble(
                    "Covers: what a service counts as is said of a make-up, not of one machine."
                )
            covered = service_named(name, self.run)
            if covered is service:
                raise RowTrouble(f"Covers: {service} cannot cover itself.")
            for makeup in makeups:
                if (id(makeup), id(covered), id(service)) in self.known:
                    raise RowTrouble(f"Covers: on {makeup}, {covered} covers {service} already.")
                if (id(makeup), id(service), id(covered)) not in self.known:
                    fresh.append((makeup, covered))
        for makeup, covered in fresh:
            self.known.add((id(makeup), id(service), id(covered)))
            self.run.make(Covering(makeup=makeup, service=service, covered=covered))
        return len(fresh)
