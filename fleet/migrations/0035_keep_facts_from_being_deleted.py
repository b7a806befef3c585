"""No row to which a fact refers can be deleted: its keys are PROTECT; the tables stay as they are."""

from django.db import migrations

from fleet.migrations._protect import Protect

KEYS = {
    'absence': ['person'],
    'act': ['machine'],
    'alteration': ['machine', 'slows'],
    'bayloan': ['shop'],
    'booking': ['machine'],
    'bookingchange': ['booking'],
    'capacityspell': ['shop'],
    'classline': ['booking', 'hire'],
    'closedday': ['shop', 'yard'],
    'delivery': ['part', 'shop'],
    'deliverychange': ['delivery'],
    'feedkey': ['machine', 'shop', 'yard'],
    'finding': ['calls_for', 'hand_over', 'machine', 'second_skill', 'seen_during', 'settled_during', 'skill'],
    'formertag': ['machine'],
    'handover': ['booking'],
    'hold': ['finding', 'machine'],
    'keptanswer': ['client'],
    'keptday': ['shop'],
    'keptwork': ['finding', 'kept_day', 'machine'],
    'lastdoneanswer': ['machine', 'service'],
    'lenthand': ['shop'],
    'measurement': ['record'],
    'meter': ['came_with', 'machine'],
    'openday': ['shop'],
    'override': ['booking', 'machine'],
    'overtimeday': ['shop'],
    'pin': ['machine', 'mechanic'],
    'progress': ['machine'],
    'putoff': ['machine'],
    'qualification': ['person', 'skill'],
    'reading': ['meter'],
    'readingtomend': ['machine', 'mended_as'],
    'recordedmeter': ['record'],
    'release': ['shop'],
    'seasonweight': ['machine_class', 'makeup', 'yard'],
    'servicerecord': ['machine'],
    'stockmovement': ['part', 'record', 'shop'],
    'storage': ['machine'],
    'waiting': ['booking', 'machine'],
    'workestimate': ['machine'],
}


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0034_name_steps'),
    ]

    operations = [Protect(KEYS)]
