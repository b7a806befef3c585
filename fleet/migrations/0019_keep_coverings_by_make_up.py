"""What a service covers is said for each make-up: manuals differ in what a service includes."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [("fleet", "0018_promise_a_machine_once")]

    operations = [
        migrations.CreateModel(
            name="Covering",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("covered", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="covered_in", to="fleet.service")),
                ("makeup", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="coverings", to="fleet.makeup")),
                ("service", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="coverings", to="fleet.service")),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("makeup", "service", "covered"), name="one_covering_of_two_services"),
                    models.CheckConstraint(condition=models.Q(("service", models.F("covered")), _negated=True), name="a_service_covers_another_one", violation_error_message="A service cannot cover itself."),
                ],
            },
        ),
    ]
