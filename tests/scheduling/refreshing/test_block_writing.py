from datetime import date

import pytest

from scheduling.models import Block
from scheduling.refreshing.block_writing import cause_of, write_blocks
from tests import factories as make

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 9)


@pytest.fixture
def hold():
    return make.Hold()


def held(hold, sentence="held", day=DAY):
    row = (None, day, True, None, hold.pk, None, sentence)
    return {(hold.machine_id, Block.Kind.HOLD, hold.pk): row}


def test_block_keeps_its_key_while_its_cause_stays(hold):
    write_blocks(Block.objects.all(), held(hold))
    kept = Block.objects.get().pk
    assert write_blocks(Block.objects.all(), held(hold)).updated == 0
    changed = write_blocks(Block.objects.all(), held(hold, "held longer"))
    assert (changed.created, changed.updated, changed.deleted) == (0, 1, 0)
    assert (Block.objects.get().pk, Block.objects.get().sentence) == (kept, "held longer")
    assert write_blocks(Block.objects.all(), {}).deleted == 1


def test_double_of_a_block_is_taken_away(hold):
    for _ in range(2):
        Block.objects.create(
            machine=hold.machine, kind=Block.Kind.HOLD, first_day=DAY, hard=True, hold=hold,
            sentence="held",
        )  # fmt: skip
    assert write_blocks(Block.objects.all(), held(hold)).deleted == 1


def test_day_in_the_shop_is_its_own_cause():
    row = (DAY, DAY, False, None, None, None, "in the shop")
    assert cause_of(4, Block.Kind.IN_SHOP, row) == (4, Block.Kind.IN_SHOP, DAY.toordinal())
