"""Each site gets an owner: who could do everything, else managers of all shops, else the first."""

from django.db import migrations, models


def name_owners(apps, schema_editor):
    people = apps.get_model("fleet", "Person").objects.filter(is_active=True)
    managers = people.filter(role="manager")
    for rows in (people.filter(is_superuser=True), managers.filter(shop=None)):
        if rows.exists():
            rows.update(role="owner")
            return
    if apps.get_model("fleet", "Shop").objects.count() > 1:
        first = managers.order_by("date_joined", "pk").first()
        if first is not None:
            people.filter(pk=first.pk).update(role="owner")


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0038_order_what_lacks'),
    ]

    operations = [
        migrations.AlterField(
            model_name='person',
            name='role',
            field=models.CharField(choices=[('owner', 'Owner'), ('manager', 'Fleet manager'), ('desk', 'Rental desk'), ('mechanic', 'Mechanic')], default='mechanic', max_length=12),
        ),
        migrations.RunPython(name_owners, migrations.RunPython.noop),
    ]
