"""The tables of 0012 as a new database makes them, at one go instead of one change after another.

It stands for the migrations before it where none of them has run; a database that has run some of
them goes on with those. tests/releases/test_at_one_go.py holds that both ways end in the same.
"""

import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models

from fleet.migrations._at_one_go import AtOneGo


class Migration(AtOneGo):

    replaces = [
        ('scheduling', '0001_consequences'),
        ('scheduling', '0002_name_the_outbox'),
        ('scheduling', '0003_give_notices_fields_for_their_cause'),
        ('scheduling', '0004_fill_the_causes_of_notices'),
        ('scheduling', '0005_tell_each_cause_once'),
        ('scheduling', '0006_say_it_plainly'),
        ('scheduling', '0007_give_blocks_values_for_their_cause'),
        ('scheduling', '0008_fill_the_causes_of_blocks'),
        ('scheduling', '0009_let_go_of_the_sentences_of_blocks'),
        ('scheduling', '0010_name_planned_work_by_rows'),
        ('scheduling', '0011_plan_what_a_block_has_covered'),
        ('scheduling', '0012_block_what_is_retired'),
    ]

    initial = True

    dependencies = [
        ('fleet', '0008_keep_imports'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='DuePoint',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('state', models.CharField(choices=[('unknown', 'not known'), ('clear', 'clear'), ('coming', 'coming due'), ('due', 'due'), ('overdue', 'overdue'), ('held', 'held')], default='unknown', max_length=8)),
                ('driver', models.CharField(blank=True, choices=[('meter', 'meter'), ('calendar', 'calendar'), ('season', 'season'), ('idle', 'out of service'), ('finding', 'finding'), ('trend', 'measured wear'), ('never', 'never yet done')], max_length=8)),
                ('hard', models.BooleanField(default=False)),
                ('never_done', models.BooleanField(default=False)),
                ('last_done_on', models.DateField(null=True)),
                ('meter_kind', models.CharField(blank=True, choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], max_length=8)),
                ('life_now', models.FloatField(help_text='at the last trusted reading', null=True)),
                ('read_on', models.DateField(help_text='day of the last trusted reading', null=True)),
                ('due_life', models.FloatField(null=True)),
                ('opens_life', models.FloatField(null=True)),
                ('closes_life', models.FloatField(null=True)),
                ('remaining', models.FloatField(help_text='due_life less life_now; below 0: past it', null=True)),
                ('due_day', models.DateField(help_text='of the calendar sides alone', null=True)),
                ('opens_day', models.DateField(null=True)),
                ('closes_day', models.DateField(null=True)),
                ('p10', models.DateField(null=True)),
                ('p50', models.DateField(null=True)),
                ('p90', models.DateField(null=True)),
                ('chance_due', models.FloatField(help_text='that it is due by the end of today', null=True)),
                ('chance_overdue', models.FloatField(help_text='that its window is past today', null=True)),
                ('rate_per_day', models.FloatField(help_text='mean use on its meter', null=True)),
                ('why', models.CharField(blank=True, help_text='the sentence beside the date', max_length=500)),
                ('interval', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.interval')),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='due_points', to='fleet.machine')),
                ('service', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.service')),
            ],
            options={
                'ordering': ['machine', 'p50'],
            },
        ),
        migrations.CreateModel(
            name='Block',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('hold', 'held'), ('overdue', 'service overdue'), ('limit', 'hard limit'), ('falls', 'falls due while out'), ('shop', 'in the shop'), ('idle', 'sat too long'), ('retired', 'retired')], max_length=8)),
                ('first_day', models.DateField()),
                ('last_day', models.DateField(help_text='empty: until the cause is gone', null=True)),
                ('hard', models.BooleanField(default=False, help_text='nobody can override this')),
                ('reach', models.CharField(blank=True, choices=[('past', 'past it'), ('perhaps', 'perhaps past it: a reading can tell'), ('ahead', 'may reach it on the first day')], max_length=8)),
                ('meter_kind', models.CharField(blank=True, choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], max_length=8)),
                ('past_by', models.FloatField(help_text='hours, metres or cycles past the end of the window', null=True)),
                ('due_day', models.DateField(help_text='of what is overdue by the calendar', null=True)),
                ('works', models.JSONField(default=list, help_text='services that fall due while out: list of {service, day, planned}, days in ISO')),
                ('minutes', models.PositiveIntegerField(default=0, help_text='of work in the shop')),
                ('begun', models.BooleanField(default=False, help_text='the work is under way')),
                ('booking', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='blocks', to='fleet.booking')),
                ('hold', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.hold')),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='blocks', to='fleet.machine')),
                ('shop', models.ForeignKey(help_text='where it stands', null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.shop')),
                ('due_point', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='blocks', to='scheduling.duepoint')),
            ],
            options={
                'ordering': ['machine', 'first_day'],
            },
        ),
        migrations.CreateModel(
            name='KeptForecast',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], max_length=8)),
                ('made_on', models.DateField()),
                ('due_life', models.FloatField()),
                ('life_then', models.FloatField(help_text='at the last trusted reading of that day')),
                ('low_level', models.FloatField(default=0.1, help_text='chance asked for at p10')),
                ('high_level', models.FloatField(default=0.9, help_text='chance asked for at p90')),
                ('p10', models.PositiveSmallIntegerField(null=True)),
                ('p50', models.PositiveSmallIntegerField(null=True)),
                ('p90', models.PositiveSmallIntegerField(null=True)),
                ('simple', models.PositiveSmallIntegerField(help_text='by the lifetime average of the same readings; 120: beyond', null=True)),
                ('settled_on', models.DateField(help_text='day of the reading that told', null=True)),
                ('truth', models.PositiveSmallIntegerField(help_text='days; 120: then or later', null=True)),
                ('outcome', models.CharField(blank=True, choices=[('earlier', 'before its range'), ('inside', 'inside its range'), ('later', 'after its range'), ('unread', 'not counted: the meter was not read'), ('gap', 'not counted: reached in a gap between readings')], max_length=8)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='kept_forecasts', to='fleet.machine')),
                ('machine_class', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.machineclass')),
                ('service', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.service')),
            ],
            options={
                'ordering': ['made_on', 'machine', 'service'],
            },
        ),
        migrations.CreateModel(
            name='MachineState',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('state', models.CharField(choices=[('unknown', 'not known'), ('clear', 'clear'), ('coming', 'coming due'), ('due', 'due'), ('overdue', 'overdue'), ('held', 'held')], default='unknown', max_length=8)),
                ('headline', models.CharField(blank=True, help_text='due in 6 days, 23 h left', max_length=200)),
                ('next_due', models.DateField(help_text='median of the first service to fall due', null=True)),
                ('missing', models.CharField(blank=True, help_text='what is lacking: no reading, no interval ...', max_length=200)),
                ('computed_for', models.DateField(help_text="the yard's day that this holds for")),
                ('reading_kind', models.CharField(blank=True, choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], help_text='meter that is most worth reading', max_length=8)),
                ('reading_gain', models.FloatField(default=0, help_text="days by which a reading today would narrow a service's range")),
                ('reading_why', models.CharField(blank=True, help_text='why it should be read', max_length=200)),
                ('due_point', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='scheduling.duepoint')),
                ('machine', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='now', to='fleet.machine')),
            ],
        ),
        migrations.CreateModel(
            name='NightlyRun',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('started_at', models.DateTimeField()),
                ('finished_at', models.DateTimeField(null=True)),
                ('stage', models.CharField(blank=True, help_text='what it is at, for the display', max_length=40)),
                ('report', models.JSONField(default=dict, help_text='counts and seconds by stage')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='nightly_runs', to='fleet.shop')),
            ],
            options={
                'ordering': ['-day'],
            },
        ),
        migrations.CreateModel(
            name='Notice',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('morning', 'morning summary'), ('risk', 'booking at risk'), ('list', 'list for the day'), ('changed', 'published list changed'), ('undelivered', 'a notice that could not be delivered')], max_length=12)),
                ('day', models.DateField(help_text='of the summary or the list', null=True)),
                ('block_kind', models.CharField(blank=True, choices=[('hold', 'held'), ('overdue', 'service overdue'), ('limit', 'hard limit'), ('falls', 'falls due while out'), ('shop', 'in the shop'), ('idle', 'sat too long'), ('retired', 'retired')], max_length=8)),
                ('round', models.PositiveIntegerField(default=0, help_text='how often the same cause had come and gone before')),
                ('mark', models.UUIDField(default=uuid.uuid4, help_text='names the message for good', unique=True)),
                ('subject', models.CharField(max_length=200)),
                ('text', models.TextField()),
                ('html', models.TextField()),
                ('made_at', models.DateTimeField()),
                ('sent_at', models.DateTimeField(null=True)),
                ('failed_at', models.DateTimeField(null=True)),
                ('error', models.CharField(blank=True, max_length=300)),
                ('over_at', models.DateTimeField(help_text='when the cause was gone; the same again is a new round', null=True)),
                ('about', models.ForeignKey(help_text='what was not delivered', null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='scheduling.notice')),
                ('booking', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.booking')),
                ('hold', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='fleet.hold')),
                ('machine', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.machine')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='notices', to=settings.AUTH_USER_MODEL)),
                ('release', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='fleet.release')),
                ('service', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='fleet.service')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.shop')),
            ],
            options={
                'ordering': ['-made_at'],
            },
        ),
        migrations.CreateModel(
            name='OutboxEntry',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(help_text='what makes it the same entry', max_length=160, unique=True)),
                ('kind', models.CharField(choices=[('nightly', 'nightly run'), ('refresh', 'machine to re-compute'), ('send', 'notice to send'), ('replan', 'shop to plan again'), ('trial', 'trial to work out')], max_length=8)),
                ('payload', models.JSONField(default=dict)),
                ('due_at', models.DateTimeField()),
                ('leased_until', models.DateTimeField(null=True)),
                ('attempts', models.PositiveIntegerField(default=0)),
                ('done_at', models.DateTimeField(null=True)),
                ('failed_at', models.DateTimeField(help_text='given up for good', null=True)),
                ('error', models.CharField(blank=True, max_length=500)),
                ('made_at', models.DateTimeField()),
            ],
            options={
                'ordering': ['due_at'],
                'indexes': [models.Index(condition=models.Q(('done_at', None), ('failed_at', None)), fields=['due_at'], name='entry_owed')],
            },
        ),
        migrations.CreateModel(
            name='Plan',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.PositiveIntegerField(default=0, help_text='how often it was written')),
                ('made_at', models.DateTimeField()),
                ('first_day', models.DateField()),
                ('days', models.PositiveSmallIntegerField()),
                ('cost', models.JSONField(default=dict, help_text='term -> money')),
                ('cost_words', models.JSONField(blank=True, default=dict, help_text='term -> what it is for')),
                ('weeks', models.JSONField(blank=True, default=list, help_text='what is scarce in each week and worth, in sentences')),
                ('total', models.FloatField(default=0)),
                ('bound', models.FloatField(default=0, help_text='no plan can cost less')),
                ('gap', models.FloatField(default=0, help_text='(total - bound) / total')),
                ('stopped', models.CharField(blank=True, max_length=20)),
                ('facts', models.CharField(blank=True, help_text='digest of what was planned; the same: nothing to do', max_length=64)),
                ('missing', models.CharField(blank=True, help_text='no mechanic, no open day ...', max_length=1000)),
                ('shop', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='plan', to='fleet.shop')),
            ],
        ),
        migrations.CreateModel(
            name='PlannedJob',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('position', models.PositiveSmallIntegerField(default=0, help_text='order within the day')),
                ('minutes', models.PositiveSmallIntegerField(help_text='visit, set-ups and work together')),
                ('last_day', models.DateField(blank=True, help_text='empty: done on its day', null=True)),
                ('by_day', models.JSONField(blank=True, default=dict, help_text='day -> minutes, of a job over several days')),
                ('second_minutes', models.PositiveSmallIntegerField(default=0)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='planned_jobs', to='fleet.machine')),
                ('mechanic', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='planned_jobs', to=settings.AUTH_USER_MODEL)),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='jobs', to='scheduling.plan')),
                ('second', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='helped_jobs', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['day', 'mechanic', 'position'],
            },
        ),
        migrations.CreateModel(
            name='PlannedWork',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('work_key', models.CharField(max_length=120)),
                ('minutes', models.PositiveSmallIntegerField(help_text='of work begun: those that are left')),
                ('position', models.PositiveSmallIntegerField(default=0, help_text='order within the job')),
                ('begun', models.BooleanField(default=False, help_text='under way: some of it is done')),
                ('pinned', models.BooleanField(default=False)),
                ('unkept', models.CharField(blank=True, help_text='why its pin, limit or frozen place cannot be kept', max_length=500)),
                ('why', models.CharField(blank=True, help_text='why on that day', max_length=500)),
                ('gives', models.JSONField(blank=True, default=list, help_text='what would have to give for another day, in sentences')),
                ('due_point', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='planned', to='scheduling.duepoint')),
                ('finding', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.finding')),
                ('job', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='work', to='scheduling.plannedjob')),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.machine')),
                ('plan', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='work', to='scheduling.plan')),
                ('service', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.service')),
            ],
            options={
                'ordering': ['position', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='RangeLevels',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], max_length=8)),
                ('holds_from', models.DateField()),
                ('low', models.FloatField(default=0.1)),
                ('high', models.FloatField(default=0.9)),
                ('judged', models.PositiveIntegerField(default=0, help_text='outcomes behind it')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='range_levels', to='fleet.shop')),
            ],
            options={
                'ordering': ['shop', 'kind', 'holds_from'],
            },
        ),
        migrations.CreateModel(
            name='Trial',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('try', 'change tried out'), ('mend', 'mend of the plan')], default='try', max_length=4)),
                ('state', models.CharField(choices=[('asked', 'being worked out'), ('ready', 'worked out'), ('published', 'published'), ('dropped', 'thrown away')], default='asked', max_length=9)),
                ('changes', models.JSONField(help_text='list of changes, see scheduling.trial.changes')),
                ('made_at', models.DateTimeField()),
                ('form_key', models.CharField(blank=True, max_length=40, null=True, unique=True)),
                ('round', models.PositiveIntegerField(default=1, help_text='how often it was asked')),
                ('base', models.CharField(blank=True, help_text='digest of the facts it stands on', max_length=64)),
                ('base_plan', models.PositiveIntegerField(default=0, help_text='number of the plan it stands on')),
                ('solution', models.JSONField(default=dict, help_text='the plan that was found')),
                ('shown', models.JSONField(default=dict, help_text='differences, as they are shown')),
                ('solved_at', models.DateTimeField(null=True)),
                ('settled_at', models.DateTimeField(null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('settled_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='trials', to='fleet.shop')),
            ],
            options={
                'ordering': ['-made_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='PlanSearch',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('cause', models.CharField(choices=[('night', 'nightly run'), ('hand', 'asked for by hand'), ('trial', 'trial')], max_length=5)),
                ('round', models.PositiveIntegerField(default=0, help_text='of the trial')),
                ('asked_at', models.DateTimeField()),
                ('began_at', models.DateTimeField(null=True)),
                ('ended_at', models.DateTimeField(null=True)),
                ('stage', models.CharField(blank=True, max_length=80)),
                ('share', models.FloatField(default=0, help_text='of the work, 0 to 1')),
                ('cost', models.FloatField(help_text='of the best plan so far', null=True)),
                ('bound', models.FloatField(default=0, help_text='no plan can cost less')),
                ('said', models.CharField(blank=True, help_text='what came of it', max_length=400)),
                ('failed', models.BooleanField(default=False)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='searches', to='fleet.shop')),
                ('trial', models.ForeignKey(null=True, on_delete=django.db.models.deletion.CASCADE, related_name='searches', to='scheduling.trial')),
            ],
            options={
                'ordering': ['-asked_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='UseModel',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], max_length=8)),
                ('fitted_for', models.DateField()),
                ('payload', models.JSONField()),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='use_models', to='fleet.shop')),
            ],
        ),
        migrations.CreateModel(
            name='CalendarDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('said', models.CharField(help_text='digest of what the event says', max_length=64)),
                ('sequence', models.PositiveIntegerField(help_text='never falls: RFC 5545, 3.8.7.4')),
                ('revised_at', models.DateTimeField()),
                ('mechanic', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='calendar_days', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('mechanic', 'day'), name='one_calendar_day')],
            },
        ),
        migrations.AddIndex(
            model_name='duepoint',
            index=models.Index(fields=['state'], name='due_point_by_state'),
        ),
        migrations.AddConstraint(
            model_name='duepoint',
            constraint=models.UniqueConstraint(fields=('machine', 'service'), name='one_due_point_a_service'),
        ),
        migrations.AddIndex(
            model_name='block',
            index=models.Index(fields=['machine', 'first_day'], name='block_by_machine'),
        ),
        migrations.AddIndex(
            model_name='keptforecast',
            index=models.Index(condition=models.Q(('outcome', '')), fields=['machine'], name='forecast_still_open'),
        ),
        migrations.AddIndex(
            model_name='keptforecast',
            index=models.Index(fields=['made_on'], name='forecast_by_day'),
        ),
        migrations.AddConstraint(
            model_name='keptforecast',
            constraint=models.UniqueConstraint(fields=('machine', 'service', 'made_on'), name='one_forecast_kept_a_day'),
        ),
        migrations.AddConstraint(
            model_name='nightlyrun',
            constraint=models.UniqueConstraint(fields=('shop', 'day'), name='one_nightly_run_a_day'),
        ),
        migrations.AddIndex(
            model_name='notice',
            index=models.Index(condition=models.Q(('kind', 'risk'), ('over_at', None)), fields=['shop'], name='notice_of_open_risk'),
        ),
        migrations.AddConstraint(
            model_name='notice',
            constraint=models.UniqueConstraint(fields=('day', 'shop', 'kind', 'person', 'round'), name='notice_once_a_day'),
        ),
        migrations.AddConstraint(
            model_name='notice',
            constraint=models.UniqueConstraint(fields=('release', 'person', 'round'), name='notice_once_a_release'),
        ),
        migrations.AddConstraint(
            model_name='notice',
            constraint=models.UniqueConstraint(fields=('about', 'person', 'round'), name='notice_once_an_undelivered'),
        ),
        migrations.AddConstraint(
            model_name='notice',
            constraint=models.UniqueConstraint(fields=('booking', 'service', 'block_kind', 'person', 'round'), name='notice_once_a_booked_service'),
        ),
        migrations.AddConstraint(
            model_name='notice',
            constraint=models.UniqueConstraint(fields=('booking', 'hold', 'block_kind', 'person', 'round'), name='notice_once_a_booked_hold'),
        ),
        migrations.AddConstraint(
            model_name='notice',
            constraint=models.UniqueConstraint(condition=models.Q(('block_kind', 'retired')), fields=('booking', 'person', 'round'), name='notice_once_a_retired_one'),
        ),
        migrations.AddConstraint(
            model_name='plannedjob',
            constraint=models.UniqueConstraint(fields=('plan', 'machine', 'day'), name='one_job_a_visit'),
        ),
        migrations.AddConstraint(
            model_name='plannedwork',
            constraint=models.UniqueConstraint(fields=('plan', 'work_key'), name='work_planned_once'),
        ),
        migrations.AddConstraint(
            model_name='rangelevels',
            constraint=models.UniqueConstraint(fields=('shop', 'kind', 'holds_from'), name='one_pair_of_levels_a_day'),
        ),
        migrations.AddConstraint(
            model_name='usemodel',
            constraint=models.UniqueConstraint(fields=('shop', 'kind'), name='one_use_model_a_shop_and_kind'),
        ),
    ]
