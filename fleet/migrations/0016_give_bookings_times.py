from django.core.validators import MaxValueValidator
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0015_give_bookings_their_hires'),
    ]

    operations = [
        migrations.AddField(
            model_name='machineclass',
            name='turn_round_minutes',
            field=models.PositiveSmallIntegerField(default=0, help_text='minutes from its return to the next customer: cleaning, fuel, a look round; counts for what is booked by the hour from then on', validators=[MaxValueValidator(1440)]),
        ),
        migrations.AddField(
            model_name='booking',
            name='from_time',
            field=models.TimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='booking',
            name='to_time',
            field=models.TimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='booking',
            name='starts_at',
            field=models.DateTimeField(editable=False, null=True),
        ),
        migrations.AddField(
            model_name='booking',
            name='ends_at',
            field=models.DateTimeField(editable=False, help_text='with the turn-round of its class behind it', null=True),
        ),
        migrations.AddField(
            model_name='booking',
            name='stood_double',
            field=models.BooleanField(default=False, editable=False, help_text='stood across another already when that became impossible'),
        ),
    ]
