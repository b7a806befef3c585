"""`may-go-out`: which machines of a class may go out from one day to another."""

from datetime import date
from typing import Literal

from django.http import HttpRequest
from ninja import Field, Query, Router, Schema

from fleet.models import KeyScope
from fleet.queries.standing_keys import day_of_key, machines_of_key
from scheduling.interface.asked import class_named, days_written, times_written, yard_of_key
from scheduling.interface.bearer import KeyWith, caller_of
from scheduling.interface.plain_answers import PlainAnswer, plain_answer
from scheduling.interface.problem_details import PROBLEMS
from scheduling.queries.may_go_out import which_may

router = Router(tags=["counter"], auth=KeyWith(KeyScope.READ))


class ReasonOut(Schema):
    """One thing that stands against a machine's going out."""

    kind: str = Field(description="held, limit, out, promised, overdue, due, shop and the like")
    text: str = Field(description="in a sentence, as the counter says it")
    until: date | None = Field(description="the last day on which it stands; null: not known")


class MachineAnswer(Schema):
    """The answer for one machine."""

    tag: str
    answer: Literal["may", "after_work", "may_not"] = Field(
        description="after_work: it may go after the work that is planned"
    )
    from_day: date | None = Field(description="the first day on which it may go; null: not known")
    back_by: date | None = Field(description="back by then, nothing stands against it; null: none")
    reasons: list[ReasonOut]


class GoOutAnswer(Schema):
    """The answer for a class, machines that may go out first."""

    class_: str = Field(alias="class")
    first_day: date
    last_day: date
    machines: list[MachineAnswer]


class GoOutQuestion(Schema):
    """Which class, which days, in which yard if it matters."""

    class_: str = Field(alias="class", description="name of the class, in capitals or not")
    first_day: str = Field(json_schema_extra={"format": "date"})
    last_day: str = Field(json_schema_extra={"format": "date"})
    yard: str = Field("", description="only machines that live there")
    from_time: str = Field("", json_schema_extra={"format": "time"})
    to_time: str = Field("", json_schema_extra={"format": "time"})
    hours_a_day: float | None = Field(None, ge=0, le=24, description="use that is expected")


@router.get("may-go-out", response={200: GoOutAnswer, **PROBLEMS}, by_alias=True)
def may_go_out_of_class(request: HttpRequest, asked: Query[GoOutQuestion]) -> dict[str, object]:
    """Say which machines of a class may go out, the same as the counter says."""
    caller = caller_of(request)
    key = caller.key
    machine_class = class_named(asked.class_)
    yard = yard_of_key(key, asked.yard)
    today = day_of_key(key, yard, caller.now)
    days = days_written(asked.first_day, asked.last_day, today)
    days = times_written(days, asked.from_time, asked.to_time, caller.now)
    answers = which_may(
        machine_class, days, today, among=machines_of_key(key), yard=yard,
        hours_a_day=asked.hours_a_day,
    )  # fmt: skip
    machines: list[PlainAnswer] = [plain_answer(one) for one in answers]
    return {
        "class": machine_class.name,
        "first_day": days.first,
        "last_day": days.last,
        "machines": machines,
    }
