"""What a file names and the site lacks: made with it where that was asked for, to be completed."""

from django.utils.text import slugify

from fleet.bring_in.import_run import ImportRun
from fleet.bring_in.one_shop import refuse_others_shop, refuse_others_yard
from fleet.bring_in.outcomes import RowTrouble
from fleet.bring_in.site_names import said_once
from fleet.bring_in.typed_sheets import SheetRow
from fleet.models import MachineClass, MakeUp, Service, Shop, Skill, Yard
from fleet.queries.points_of_class import usual_accessories, usual_points
from fleet.walk_round_library import kind_of_class

DEFAULT_SHOP = "Workshop"
DEFAULT_YARD = "Yard"
UNSORTED = "Not sorted yet"
"""Name of the class in which a make-up stands that a file gives none."""
GUESSED_MINUTES = 60
"""Minutes of a service of which a file says no more than its name."""


def shop_of(row: SheetRow, run: ImportRun, field: str = "shop") -> Shop:
    """Return the shop that a row names, else the only or first one."""
    name = row.text(field)
    shops = run.site.shops
    if not name and run.only is not None:
        return run.only
    if not name:
        if shops.exact:
            return next(iter(shops.exact.values()))
        name = DEFAULT_SHOP
    found = said_once(shops, name, "shop")
    refuse_others_shop(name, found, run.only)
    if found is None:
        if not run.make_missing:
            raise run.lacks("shop", name)
        found = Shop(name=name[:80], time_zone=run.time_zone, units=run.units)
        shops.add(found.name, run.make(found, "time zone, units, hours, closed days"))
    return found


def yard_of(row: SheetRow, run: ImportRun) -> Yard:
    """Return the yard that a row names, else the only one; many and none named is a trouble."""
    name = row.text("yard")
    yards = run.site.yards
    own = [yard for yard in yards.exact.values() if run.only in (None, yard.shop)]
    if not name:
        if len(own) > 1:
            raise RowTrouble("No yard is given; write at which one the machine lives.")
        if own:
            return own[0]
        name = DEFAULT_YARD
    found = said_once(yards, name, "yard")
    if found is not None:
        refuse_others_yard(found, run.only)
    if found is None:
        if not run.make_missing:
            raise run.lacks("yard", name)
        shop = shop_of(row, run)
        found = Yard(name=name[:80], shop=shop, time_zone=shop.time_zone, units=shop.units)
        yards.add(found.name, run.make(found, "time zone, units, way to the shop"))
    return found


def class_named(name: str, run: ImportRun) -> MachineClass:
    """Return the class of a name."""
    found = said_once(run.site.classes, name, "class")
    if found is None:
        if not run.make_missing:
            raise run.lacks("class", name)
        found = MachineClass(name=name[:60])
        run.site.classes.add(found.name, run.make(found, "day rate, and whether it goes on roads"))
        found.runs_on = kind_of_class(found.name).runs_on
        for row in (*usual_points(found), *usual_accessories(found)):
            run.make(row)
    return found


def makeup_of(
    row: SheetRow, run: ImportRun, year: int | None = None, *, new: bool = False
) -> MakeUp | None:
    """Return the make-up that a row names by maker and model, by both in one, or by its class.

    None where the row names none.  new: the row is there to make it, whatever else may be made.
    """
    maker, model, text = row.text("maker"), row.text("model"), row.text("makeup")
    if not (maker or model or text):
        return _by_class(row, run, new=new)
    found = _known(maker, model, text, run)
    if found:
        return _of_year(found, year)
    if not model and text:
        maker, model = _parted(maker, text)
    named = f"{maker} {model}".strip()
    if not (new or run.make_missing):
        raise run.lacks("make-up", named)
    return _make(maker, model, row, run)


def _known(maker: str, model: str, text: str, run: ImportRun) -> list[MakeUp] | None:
    both = f"{maker} {model}".strip() if model else f"{maker} {text}".strip()
    for names, written in (
        (run.site.makeups, both),
        (run.site.makeups, text),
        (run.site.models, "" if maker else model or text),
    ):
        if written and (found := said_once(names, written, "make-up")):
            return found
    return None


def _parted(maker: str, text: str) -> tuple[str, str]:
    """Part "Tarnbeck T20" into maker and model: the first word and the rest."""
    if maker:
        return maker, text
    first, _, rest = text.partition(" ")
    return (first, rest) if rest else ("", first)


def _of_year(makeups: list[MakeUp], year: int | None) -> MakeUp:
    """Return the make-up of a model whose years hold one; else the one without years, or last."""
    if year:
        for one in makeups:
            first, last = one.first_year, one.last_year
            if first and first <= year and (last is None or year <= last):
                return one
    plain = [one for one in makeups if one.first_year is None]
    return (plain or makeups)[-1]


def _by_class(row: SheetRow, run: ImportRun, *, new: bool) -> MakeUp | None:
    """Return the make-up of a class that a row names alone: its only one, or a new one."""
    name = row.text("class")
    if not name:
        return None
    own = class_named(name, run)
    makeups = [
        one for rows in run.site.makeups.exact.values() for one in rows if one.machine_class is own
    ]
    if len(makeups) == 1:
        return makeups[0]
    if not (new or run.make_missing) or len(makeups) > 1:
        raise RowTrouble(f"No maker and model is given, and “{own}” has {len(makeups)} make-ups.")
    return _make("", own.name, row, run)


def _make(maker: str, model: str, row: SheetRow, run: ImportRun) -> MakeUp:
    name = row.text("class") or UNSORTED
    makeup = MakeUp(
        machine_class=class_named(name, run), maker=(maker or "-")[:60], model=(model or "-")[:60]
    )
    run.make(makeup, "fluids, fitting parts, intervals from its manual")
    run.site.add_makeup(makeup)
    return makeup


def service_named(name: str, run: ImportRun, minutes: int | None = None) -> Service:
    """Return the service of a name or code."""
    found = said_once(run.site.services, name, "service")
    if found is None:
        if not run.make_missing:
            raise run.lacks("service", name)
        found = Service(code=_code(name, run), name=name[:80], minutes=minutes or GUESSED_MINUTES)
        run.make(found, "minutes, skill, steps, cautions, parts")
        run.site.add_service(found)
    return found


def _code(name: str, run: ImportRun) -> str:
    """Return a code for a service that no other has."""
    taken = {service.code for service in run.site.services.exact.values()}
    code = stem = slugify(name)[:44] or "service"
    number = 2
    while code in taken:
        code, number = f"{stem}-{number}", number + 1
    return code


def skill_named(name: str, run: ImportRun) -> Skill:
    """Return the skill of a name."""
    found = said_once(run.site.skills, name, "skill")
    if found is None:
        if not run.make_missing:
            raise run.lacks("skill", name)
        found = Skill(name=name[:60])
        run.site.skills.add(found.name, run.make(found, "whether it takes a certificate"))
    return found
