"""What a service covered everywhere has been said for each make-up; one of the two is enough."""

from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [
        ("fleet", "0020_fill_coverings"),
        # which reads what is let go of here
        ("scheduling", "0011_plan_what_a_block_has_covered"),
    ]

    operations = [migrations.RemoveField(model_name="service", name="covers")]
