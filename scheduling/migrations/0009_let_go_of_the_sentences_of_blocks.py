"""A block is said in a sentence where it is read, from its values; none is kept."""

from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [("scheduling", "0008_fill_the_causes_of_blocks")]

    operations = [migrations.RemoveField("Block", "sentence")]
