from datetime import date

import pytest

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


def held(hold, sentence="held", day=DAY):
    row = (None, day, True, None, hold.pk, None, sentence)
    return {(hold.machine_id, Block.Kind.HOLD, hold.pk): row}


def test_block_keeps_its_key_while_its_cause_stays(hold):
    write(hold, held(hold))
    kept = Block.objects.get().pk
    assert write(hold, held(hold)).updated == 0
    changed = write(hold, held(hold, "held longer"))
    assert (changed.created, changed.updated, changed.deleted) == (0, 1, 0)
    assert (Block.objects.get().pk, Block.objects.get().sentence) == (kept, "held longer")
    assert write(hold, {}).deleted == 1


def test_double_of_a_block_is_taken_away(hold):
    for _ in range(2):
        Block.objects.create(
            machine=hold.machine, kind=Block.Kind.HOLD, first_day=DAY, hard=True, hold=hold,
            sentence="held",
        )  # fmt: skip
    assert write(hold, held(hold)).deleted == 1


def test_day_in_the_shop_is_its_own_cause():
    row = (DAY, DAY, False, None, None, None, "in the shop")
    assert cause_of(4, Block.Kind.IN_SHOP, row) == (4, Block.Kind.IN_SHOP, DAY.toordinal())
