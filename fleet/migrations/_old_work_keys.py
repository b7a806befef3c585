"""Old keys of work and new: what the migrations of both halves share.  It is never edited.

An old key is `s:TAG:CODE`, a new one `m:MACHINE:SERVICE` with the numbers of the rows; a tag may
hold colons, a code does not.  Neither can be taken for the other.  Keys of findings stay as they
are, and so does a key whose machine or service has gone: nothing is lost with it, and the old
release, if it comes back, reads it as before.
"""

import re

BATCH = 500
NEW = re.compile(r"m:(?P<machine>[0-9]{1,19}):(?P<service>[0-9]{1,19})")


class Renaming:
    """From old keys to new ones, or back."""

    def __init__(self, apps, alias, back=False):
        def rows(model, field):
            return apps.get_model("fleet", model).objects.using(alias).values_list("pk", field)

        self.tags, self.codes = dict(rows("Machine", "tag")), dict(rows("Service", "code"))
        self.machines = {tag: pk for pk, tag in self.tags.items()}
        self.services = {code: pk for pk, code in self.codes.items()}
        self.back = back

    def of(self, key, machine=None, service=None):
        """Return what a key becomes; where the row beside it tells, that counts and not the key.

        machine, service: their numbers, as far as the row that holds the key knows them.
        """
        return self._old(key) if self.back else self._new(key, machine, service)

    def _new(self, key, machine, service):
        sort, _, name = key.partition(":")
        tag, _, code = name.rpartition(":")
        machine = machine if machine in self.tags else self.machines.get(tag)
        service = service if service in self.codes else self.services.get(code)
        return f"m:{machine}:{service}" if sort == "s" and machine and service else key

    def _old(self, key):
        match = NEW.fullmatch(key)
        tag = match and self.tags.get(int(match["machine"]))
        code = match and self.codes.get(int(match["service"]))
        return f"s:{tag}:{code}" if tag and code else key

    def inside(self, value):
        """Return plain JSON with each key in it renamed, as a value or as a name of one."""
        if isinstance(value, str):
            return self.of(value)
        if isinstance(value, list):
            return [self.inside(each) for each in value]
        if isinstance(value, dict):
            return {self.of(name): self.inside(each) for name, each in value.items()}
        return value


def rename_rows(rows, renaming, once=(), service=None):
    """Rename the keys of a table's rows.

    once: fields that, with the key, no two rows may share.  service: the field that names the
    service, if there is one.  Each row names its machine too: where the machine has got another
    tag since, the key is renamed all the same, and the work is found again.  Where two rows would
    then be one and may not, the one whose key holds the tag of today wins; the other stays.
    """

    def fresh_of(row):
        return renaming.of(row[1], row[2], row[3] if service else None)

    taken, renamed = set(rows.values_list("work_key", *once)), []
    found = rows.order_by("pk").values_list("pk", "work_key", "machine_id", service or "pk", *once)
    for row in sorted(found, key=lambda row: renaming.of(row[1]) != fresh_of(row)):
        place = fresh_of(row), *row[4:]
        if place[0] != row[1] and place not in taken:
            taken.add(place)
            renamed.append(rows.model(pk=row[0], work_key=place[0]))
    rows.bulk_update(renamed, ["work_key"], batch_size=BATCH)
