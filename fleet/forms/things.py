"""The things that have pages of their own in Set-up, told once each: form, rows, list."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.db.models import QuerySet

from fleet.actions.keep_set_up import LogTerms, Touched
from fleet.forms import machine_forms, part_form, person_form, place_forms, procedure_forms
from fleet.forms.written_fields import FormPlace
from fleet.makeup_traits import TRAITS
from fleet.models import (
    Absence,
    Accessory,
    Alteration,
    ClosedDay,
    FittingPart,
    Fluid,
    Limit,
    Machine,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    Part,
    Person,
    Qualification,
    Service,
    ServiceNeed,
    ServiceStep,
    Shop,
    Storage,
    Substitute,
    WalkRoundPoint,
    Yard,
)
from fleet.queries import machines_touched, thing_lists


@dataclass(frozen=True)
class RowsOf:
    """Rows that belong to a thing; name: of the relation.  kept: they cannot be taken out here."""

    title: str
    name: str
    kind: type[Any]
    form: type[Any]
    hint: str = ""
    blank: int = 2
    kept: bool = False
    formset: type[forms.BaseInlineFormSet] = forms.BaseInlineFormSet
    by: str | None = None

    def build(self, parent: type[Any], data: Any, row: Any, place: FormPlace) -> Any:
        """Return the rows of one thing as forms."""
        made = forms.inlineformset_factory(
            parent, self.kind, form=self.form, formset=self.formset, extra=self.blank,
            can_delete=not self.kept, fk_name=self.by,
        )  # fmt: skip
        return made(data, instance=row, prefix=self.name, form_kwargs={"place": place})


@dataclass(frozen=True)
class Thing:
    """A kind of thing: what it is called, its form and rows, its list, what hangs on it.

    folded: fields that are seldom needed, shown in a fold.  columns: heading and what stands there.
    """

    key: str
    one: str
    many: str
    purpose: str
    model: type[Any]
    form: type[Any]
    rows_listed: Callable[[], QuerySet[Any]]
    columns: Sequence[tuple[str, Callable[[Any], object]]]
    touched: Touched
    search: Sequence[str] = ()
    folded: Sequence[str] = ()
    rows: Sequence[RowsOf] = ()
    told: Sequence[str] = ()
    told_rows: Sequence[str] = field(default_factory=tuple)
    goes: bool = True

    @property
    def log(self) -> LogTerms:
        """What the change log tells of it."""
        names = self.told or tuple(self.form._meta.fields or ())
        return LogTerms(names, (*self.told_rows, *(one.name for one in self.rows)))


SHOPS = Thing(
    "shops", "shop", "Shops", "where work is done: time zone, hours, closed days",
    Shop, place_forms.ShopForm, thing_lists.shops,
    [("Time zone", lambda one: one.time_zone), ("Bays", lambda one: one.bays)],
    machines_touched.of_shop, search=["name"],
    folded=["nightly_at", "look_ahead_days", "warn_days", "horizon_days", "frozen_days",
            "overtime_limit_hours", "overtime_cost_per_hour", "overrules"],
    rows=[RowsOf("Closed days", "closed_days", ClosedDay, place_forms.ClosedDayForm,
                 "Holidays, and days on which a remote yard is not driven to.")],
    told_rows=["hours"],
)  # fmt: skip
YARDS = Thing(
    "yards", "yard", "Yards", "where machines live, and the way to the shop",
    Yard, place_forms.YardForm, thing_lists.yards,
    [("Shop", lambda one: one.shop), ("Time zone", lambda one: one.time_zone)],
    machines_touched.of_yard, search=["name"], folded=["trip_cost", "duty_factor"],
)  # fmt: skip
PEOPLE = Thing(
    "people", "person", "People", "roles, skills, hours, absences, passwords",
    Person, person_form.PersonForm, thing_lists.people,
    [("Signs in as", lambda one: one.username), ("Role", lambda one: one.get_role_display()),
     ("Shop", lambda one: one.shop or "all"),
     ("", lambda one: "" if one.is_active else "no longer here")],
    machines_touched.of_person, search=["username", "first_name", "last_name"],
    rows=[
        RowsOf("Skills", "qualifications", Qualification, person_form.QualificationForm),
        RowsOf("Days away", "absences", Absence, person_form.AbsenceForm, by="person"),
    ],
    told_rows=["working_hours"], goes=False,
)  # fmt: skip
CLASSES = Thing(
    "classes", "class", "Machine classes", "as the counter rents them out",
    MachineClass, machine_forms.ClassForm, thing_lists.classes,
    [("Day rate", lambda one: one.day_rate)],
    machines_touched.of_class, search=["name"],
    folded=["hours_included", "extra_hour_price", "fuel_price", "late_day_price", "cautions"],
    rows=[
        RowsOf("Walk-round", "walk_round_points", WalkRoundPoint,
               machine_forms.WalkRoundPointForm,
               "Looked at on going out and coming back. What is marked as safety holds the machine"
               " when it is not in order. A new class gets the usual points of its kind."),
        RowsOf("What goes with it", "accessories", Accessory, machine_forms.AccessoryForm,
               "Ticked as it goes out, and compared as it comes back."),
        RowsOf("Goes instead", "substitutes", Substitute, machine_forms.SubstituteForm,
               "Classes that the counter offers where none of this one may go out.",
               by="machine_class"),
    ],
)  # fmt: skip
MAKE_UPS = Thing(
    "make-ups", "make-up", "Make-ups", "class, model, meters, fluids, fitting parts",
    MakeUp, machine_forms.MakeUpForm, thing_lists.makeups,
    [("Class", lambda one: one.machine_class), ("Machines", lambda one: one.working),
     ("Services", lambda one: one.rules)],
    machines_touched.of_makeup, search=["maker", "model", "machine_class__name"],
    folded=[f"{machine_forms.A_TRAIT}{name}" for name in TRAITS],
    told=[*machine_forms.MakeUpForm.Meta.fields, "traits"],
    rows=[
        RowsOf("Meters", "meters", MakeUpMeter, machine_forms.MakeUpMeterForm,
               "Every machine of it carries these.", blank=1),
        RowsOf("Fluids", "fluids", Fluid, machine_forms.FluidForm),
        RowsOf("Fitting parts", "fitting_parts", FittingPart, machine_forms.FittingPartForm),
    ],
)  # fmt: skip
MACHINES = Thing(
    "machines", "machine", "Machines", "tag, serial, yard, meters, alterations",
    Machine, machine_forms.MachineForm, thing_lists.machines,
    [("Make-up", lambda one: one.makeup), ("Yard", lambda one: one.yard),
     ("Serial", lambda one: one.serial)],
    machines_touched.of_machine, search=["tag", "serial"],
    folded=["day_rate", "duty_factor", "notes"],
    rows=[
        RowsOf("Alterations", "alterations", Alteration, machine_forms.AlterationForm, blank=1),
        RowsOf("Storage", "storages", Storage, machine_forms.StorageForm,
               "Its meter rests then, its calendar does not.", blank=1),
    ],
)  # fmt: skip
SERVICES = Thing(
    "services", "service", "Services", "steps, cautions, parts, limits",
    Service, procedure_forms.ProcedureForm, thing_lists.services,
    [("Minutes", lambda one: one.minutes), ("Skill", lambda one: one.skill or "any")],
    machines_touched.of_service, search=["name", "code"],
    folded=["code", "second_minutes", "second_skill", "second_for", "several_days", "set_ups",
            "follows", "apart_from", "blocks_rental", "overdue_cost_per_day", "value",
            "invented", "cautions"],
    rows=[
        RowsOf("Steps", "steps", ServiceStep, procedure_forms.StepForm, blank=4,
               formset=procedure_forms.NumberedSteps),
        RowsOf("What it takes from the shelf", "needs", ServiceNeed, procedure_forms.NeedForm,
               "By place; the make-up says which part and how much."),
        RowsOf("What to measure", "limits", Limit, procedure_forms.LimitForm, by="service",
               kept=True),
    ],
)  # fmt: skip
PARTS = Thing(
    "parts", "part", "Parts and fluids", "numbers, costs, counts of the shelf",
    Part, part_form.PartForm, thing_lists.parts,
    [("Name", lambda one: one.name), ("Kind", lambda one: one.get_kind_display()),
     ("Cost", lambda one: one.cost)],
    machines_touched.of_part, search=["number", "name"],
)  # fmt: skip

THINGS = [SHOPS, YARDS, PEOPLE, CLASSES, MAKE_UPS, MACHINES, SERVICES, PARTS]
"""In the order in which a new shop puts them in."""
