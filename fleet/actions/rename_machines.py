"""A machine gets another tag; its labels and links with the old one still lead to it."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from fleet.actions.fit_meters import lock_machines
from fleet.actions.keep_changes import differences, keep_change
from fleet.changed_facts import tell
from fleet.logged_words import values_of
from fleet.models import FormerTag, Machine, Person
from fleet.refusal import Refusal

LONGEST = 20
"""Characters of a tag."""


@transaction.atomic
def rename_machine(
    machine: Machine, tag: str, *, reason: str, by: Person, now: datetime, take_former: bool = False
) -> Machine:
    """Give a machine another tag; the same tag again changes nothing.

    take_former: the person says that a tag which another machine gave up is meant all the same.
    """
    lock_machines([machine.pk])
    machine.refresh_from_db()
    tag = tag.strip()
    if tag == machine.tag:
        return machine
    _refuse_merged(machine)
    _check(machine, tag, take_former=take_former)
    before = values_of(machine, ["tag"])
    FormerTag.objects.create(machine=machine, tag=machine.tag, given_up_at=now, by=by)
    machine.tag = tag
    machine.save(update_fields=["tag"])
    changed = differences(before, values_of(machine, ["tag"]))
    keep_change(machine, "renamed", changed, by=by, now=now, reason=reason)
    tell({machine.pk})
    return machine


def _refuse_merged(machine: Machine) -> None:
    if machine.merged_into_id:
        raise Refusal(f"{machine.tag} is one machine with {machine.merged_into}; rename that one.")


def _check(machine: Machine, tag: str, *, take_former: bool) -> None:
    """Refuse what is no tag, one that another machine has, and unasked one that another had."""
    if not tag:
        raise Refusal("Write the new tag.", "tag")
    if len(tag) > LONGEST:
        raise Refusal(f"A tag has at most {LONGEST} characters.", "tag")
    try:
        Machine._meta.get_field("tag").run_validators(tag)
    except ValidationError as error:
        raise Refusal(" ".join(error.messages), "tag") from error
    others = Machine.objects.exclude(pk=machine.pk)
    if other := others.filter(tag__iexact=tag).first():
        raise Refusal(f"{other.tag} is the tag of another machine, {other.makeup}.", "tag")
    had = FormerTag.objects.filter(tag__iexact=tag).exclude(machine=machine)
    if (former := had.select_related("machine").first()) and not take_former:
        raise Refusal(
            f"{former.tag} was the tag of {former.machine} until {former.given_up_at:%-d %b %Y},"
            " and its old labels may still carry it: they would then lead to this machine. Choose"
            " another tag, or say that you mean it.",
            "take_former",
        )
