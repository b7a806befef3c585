"""How one machine is used, loaded once for all that its page draws and says of the days to come."""

from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import Machine
from scheduling.core.verification import NOMINAL
from scheduling.due.learning import Lesson, kept_lessons, learn
from scheduling.due.meter_use import KindUse, kind_use
from scheduling.due.range_levels import levels_in_use
from scheduling.facts.load_facts import UseFacts, load_use
from scheduling.facts.scope import Scope


@dataclass(frozen=True)
class MachineUse:
    """One machine's facts, and its use by kind of meter; none of a retired machine."""

    machine: Machine
    facts: UseFacts
    uses: dict[str, KindUse]

    @property
    def today(self) -> date:
        """The yard's day."""
        return self.facts.machines.day(0)

    @property
    def units(self) -> str:
        """The yard's units."""
        return self.facts.machines.units[0]


def machine_use(machine: Machine, now: datetime) -> MachineUse:
    """Load how a machine is used, with what its shop's fleet taught."""
    shop = machine.yard.shop_id
    facts = load_use(Scope.of(shop, [machine.pk]), now)
    if not facts.meters:
        return MachineUse(machine, facts, {})
    lessons = _lessons(shop, facts, now)
    levels = levels_in_use(shop, facts.machines.day(0))
    uses = {
        kind: kind_use(facts, meters, lessons[kind], levels.get(kind, NOMINAL))
        for kind, meters in facts.meters.items()
    }
    return MachineUse(machine, facts, uses)


def _lessons(shop: int, facts: UseFacts, now: datetime) -> dict[str, Lesson]:
    """Return what the fleet taught; what is not kept is learnt, for this page alone."""
    lessons = kept_lessons(shop, facts.meters)
    lacking = [kind for kind in facts.meters if kind not in lessons]
    if lacking:
        whole = load_use(Scope.of(shop), now)
        lessons |= {kind: learn(whole, whole.meters[kind]) for kind in lacking}
    return lessons
