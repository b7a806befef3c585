from datetime import date

import pytest

from scheduling.due.block_rows import BlockRow
from scheduling.due.block_writing import block_rows, cause_of, write_blocks
from scheduling.facts.scope import Scope
from scheduling.models import Block
from tests import factories as make

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 9)


@pytest.fixture
def hold():
    return make.Hold()


def write(hold, wanted):
    scope = Scope.of(hold.machine.yard.shop_id, [hold.machine_id])
    return write_blocks(block_rows(scope, Block.Kind.values), wanted)


def held(hold, day=DAY, **more):
    row = BlockRow(day, hard=True, hold_id=hold.pk, **more)
    return {(hold.machine_id, Block.Kind.HOLD, hold.pk): row}


def test_block_keeps_its_key_while_its_cause_stays(hold):
    write(hold, held(hold))
    kept = Block.objects.get().pk
    assert write(hold, held(hold)).updated == 0
    changed = write(hold, held(hold, last_day=DAY, works=[{"service": 1}]))
    assert (changed.created, changed.updated, changed.deleted) == (0, 1, 0)
    block = Block.objects.get()
    assert (block.pk, block.last_day, block.works) == (kept, DAY, [{"service": 1}])
    assert write(hold, {}).deleted == 1


def test_double_of_a_block_is_taken_away(hold):
    for _ in range(2):
        Block.objects.create(
            machine=hold.machine, kind=Block.Kind.HOLD, first_day=DAY, hard=True, hold=hold
        )
    assert write(hold, held(hold)).deleted == 1


def test_day_in_the_shop_is_its_own_cause():
    row = BlockRow(DAY, DAY, minutes=90)
    assert cause_of(4, Block.Kind.IN_SHOP, row) == (4, Block.Kind.IN_SHOP, DAY.toordinal())
