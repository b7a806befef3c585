"""The tables of 0008 as a new database makes them, at one go instead of one change after another.

It stands for the migrations before it where none of them has run; a database that has run some of
them goes on with those. tests/releases/test_at_one_go.py holds that both ways end in the same.
"""

import datetime
import django.contrib.auth.models
import django.contrib.auth.validators
import django.core.validators
import django.db.models.deletion
import django.utils.timezone
import fleet.models.calendar_key
import fleet.models.places
from django.conf import settings
from django.db import migrations, models

from fleet.migrations._at_one_go import AtOneGo


class Migration(AtOneGo):

    replaces = [
        ('fleet', '0001_facts'),
        ('fleet', '0002_say_it_plainly'),
        ('fleet', '0003_name_work_by_rows'),
        ('fleet', '0004_keep_changes'),
        ('fleet', '0005_answer_when_last_done'),
        ('fleet', '0006_put_facts_right'),
        ('fleet', '0007_give_machines_a_whole_life'),
        ('fleet', '0008_keep_imports'),
    ]

    initial = True

    dependencies = [
        ('auth', '0012_alter_user_first_name_max_length'),
    ]

    operations = [
        migrations.CreateModel(
            name='Caution',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.SlugField(unique=True)),
                ('signal', models.CharField(choices=[('danger', 'DANGER'), ('warning', 'WARNING'), ('caution', 'CAUTION'), ('notice', 'NOTICE')], max_length=8)),
                ('text', models.CharField(max_length=300)),
                ('source', models.CharField(help_text='standard, section, year; or how we know', max_length=160)),
            ],
            options={
                'ordering': ['code'],
            },
        ),
        migrations.CreateModel(
            name='Delivery',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('quantity', models.FloatField(help_text='pieces or mL')),
                ('ordered_on', models.DateField(blank=True, null=True)),
                ('expected_on', models.DateField()),
                ('latest_on', models.DateField(blank=True, help_text='if the day can slip: the plan counts on the parts from this day alone', null=True, verbose_name='at the latest')),
                ('said_by', models.CharField(blank=True, help_text="who gave the days: the maker's desk, the carrier", max_length=80)),
                ('received_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'verbose_name_plural': 'deliveries',
                'ordering': ['expected_on'],
            },
        ),
        migrations.CreateModel(
            name='DemoMark',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('machines', models.PositiveIntegerField()),
                ('seed', models.PositiveIntegerField()),
                ('loaded_for', models.DateField(help_text='the day that was today when it was loaded')),
                ('lived_to', models.DateField(help_text='the day up to which it has been lived through')),
            ],
        ),
        migrations.CreateModel(
            name='KeptDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('kept_at', models.DateTimeField()),
                ('minutes', models.PositiveIntegerField(help_text='visits, set-ups and work of all mechanics')),
                ('minutes_there', models.PositiveIntegerField(help_text='that all mechanics had on that day')),
            ],
            options={
                'ordering': ['day'],
            },
        ),
        migrations.CreateModel(
            name='MachineClass',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60, unique=True)),
                ('day_rate', models.DecimalField(decimal_places=2, default=0, max_digits=9)),
                ('road_vehicle', models.BooleanField(default=False, help_text='made for North American roads, so its VIN carries a check digit')),
            ],
            options={
                'verbose_name_plural': 'machine classes',
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Part',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(max_length=40, unique=True)),
                ('name', models.CharField(max_length=80)),
                ('kind', models.CharField(choices=[('piece', 'part'), ('fluid', 'fluid')], default='piece', max_length=8)),
                ('cost', models.DecimalField(decimal_places=2, default=0, help_text='of one piece, or of one litre', max_digits=9)),
            ],
            options={
                'ordering': ['number'],
            },
        ),
        migrations.CreateModel(
            name='SetUp',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=40, unique=True)),
                ('minutes', models.PositiveSmallIntegerField(default=0)),
                ('cost', models.FloatField(default=0)),
            ],
            options={
                'verbose_name': 'set-up',
            },
        ),
        migrations.CreateModel(
            name='Shop',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('time_zone', models.CharField(default='UTC', max_length=64, validators=[fleet.models.places.check_time_zone])),
                ('units', models.CharField(choices=[('us', 'US (miles, quarts)'), ('metric', 'Metric (kilometres, litres)')], default='us', max_length=8)),
                ('bays', models.PositiveSmallIntegerField(default=2, help_text='machines that can stand inside')),
                ('nightly_at', models.TimeField(default=datetime.time(2, 0), help_text='when the nightly run starts, local')),
                ('look_ahead_days', models.PositiveSmallIntegerField(default=14, help_text='a service that falls due within these days is coming due')),
                ('warn_days', models.PositiveSmallIntegerField(default=3, help_text='days before check-out on which the desk is warned')),
                ('horizon_days', models.PositiveSmallIntegerField(default=28, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(120)])),
                ('frozen_days', models.PositiveSmallIntegerField(default=1, help_text='first days of the plan that take no new work by themselves')),
                ('overtime_limit_hours', models.FloatField(default=2, validators=[django.core.validators.MinValueValidator(0)])),
                ('overtime_cost_per_hour', models.FloatField(default=66, validators=[django.core.validators.MinValueValidator(0)])),
            ],
        ),
        migrations.CreateModel(
            name='Skill',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=60, unique=True)),
                ('by_certificate', models.BooleanField(default=False, help_text='an inspection by a qualified person: only who holds it on the day may finish it')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Person',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('is_superuser', models.BooleanField(default=False, help_text='Designates that this user has all permissions without explicitly assigning them.', verbose_name='superuser status')),
                ('username', models.CharField(error_messages={'unique': 'A user with that username already exists.'}, help_text='Required. 150 characters or fewer. Letters, digits and @/./+/-/_ only.', max_length=150, unique=True, validators=[django.contrib.auth.validators.UnicodeUsernameValidator()], verbose_name='username')),
                ('first_name', models.CharField(blank=True, max_length=150, verbose_name='first name')),
                ('last_name', models.CharField(blank=True, max_length=150, verbose_name='last name')),
                ('email', models.EmailField(blank=True, max_length=254, verbose_name='email address')),
                ('is_staff', models.BooleanField(default=False, help_text='Designates whether the user can log into this admin site.', verbose_name='staff status')),
                ('is_active', models.BooleanField(default=True, help_text='Designates whether this user should be treated as active. Unselect this instead of deleting accounts.', verbose_name='active')),
                ('date_joined', models.DateTimeField(default=django.utils.timezone.now, verbose_name='date joined')),
                ('role', models.CharField(choices=[('manager', 'Fleet manager'), ('desk', 'Rental desk'), ('mechanic', 'Mechanic')], default='mechanic', max_length=12)),
                ('groups', models.ManyToManyField(blank=True, help_text='The groups this user belongs to. A user will get all permissions granted to each of their groups.', related_name='user_set', related_query_name='user', to='auth.group', verbose_name='groups')),
                ('user_permissions', models.ManyToManyField(blank=True, help_text='Specific permissions for this user.', related_name='user_set', related_query_name='user', to='auth.permission', verbose_name='user permissions')),
                ('shop', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='people', to='fleet.shop')),
            ],
            options={
                'verbose_name_plural': 'people',
                'ordering': ['username'],
            },
            managers=[
                ('objects', django.contrib.auth.models.UserManager()),
            ],
        ),
        migrations.CreateModel(
            name='Absence',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_day', models.DateField()),
                ('last_day', models.DateField()),
                ('reason', models.CharField(blank=True, max_length=120)),
                ('at', models.DateTimeField(editable=False, null=True)),
                ('by', models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='absences', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['first_day'],
            },
        ),
        migrations.CreateModel(
            name='Booking',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_day', models.DateField()),
                ('last_day', models.DateField()),
                ('customer', models.CharField(help_text='or the ranch job', max_length=120)),
                ('value', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True)),
                ('made_at', models.DateTimeField()),
                ('cancelled_at', models.DateTimeField(blank=True, null=True)),
                ('form_key', models.CharField(blank=True, max_length=40, null=True, unique=True)),
                ('cancelled_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('made_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['first_day'],
            },
        ),
        migrations.CreateModel(
            name='BookingChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('old_last_day', models.DateField()),
                ('new_last_day', models.DateField()),
                ('reason', models.CharField(blank=True, max_length=120)),
                ('at', models.DateTimeField()),
                ('booking', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='changes', to='fleet.booking')),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['at'],
            },
        ),
        migrations.CreateModel(
            name='CalendarKey',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('word', models.CharField(default=fleet.models.calendar_key.new_word, max_length=32, unique=True)),
                ('made_at', models.DateTimeField()),
                ('person', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='calendar_key', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='DeliveryChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('old_expected_on', models.DateField()),
                ('new_expected_on', models.DateField()),
                ('old_latest_on', models.DateField(blank=True, null=True)),
                ('new_latest_on', models.DateField(blank=True, null=True)),
                ('note', models.CharField(blank=True, help_text='who said so, and why', max_length=120)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('delivery', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='changes', to='fleet.delivery')),
            ],
            options={
                'ordering': ['at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='HandOver',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('direction', models.CharField(choices=[('out', 'check-out'), ('back', 'return')], max_length=4)),
                ('at', models.DateTimeField()),
                ('walk_round', models.JSONField(blank=True, default=dict, help_text='point looked at -> in order')),
                ('note', models.CharField(blank=True, max_length=300)),
                ('struck_at', models.DateTimeField(blank=True, help_text='when it was undone, or put right by another', null=True)),
                ('struck_why', models.CharField(blank=True, max_length=200)),
                ('booking', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='hand_overs', to='fleet.booking')),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('corrects', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='corrected_by', to='fleet.handover')),
                ('struck_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['at'],
            },
        ),
        migrations.CreateModel(
            name='Finding',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('seen_at', models.DateTimeField()),
                ('text', models.CharField(max_length=400)),
                ('gravity', models.CharField(choices=[('note', 'note'), ('defect', 'defect'), ('unsafe', 'not safe')], default='note', max_length=8)),
                ('minutes', models.PositiveSmallIntegerField(default=60, help_text='a guess at the work, for the plan')),
                ('second_minutes', models.PositiveSmallIntegerField(default=0, help_text='of a second person; 0: one person mends it alone')),
                ('several_days', models.BooleanField(default=False, help_text='may be longer than a working day')),
                ('settled_at', models.DateTimeField(blank=True, null=True)),
                ('settled_note', models.CharField(blank=True, max_length=200)),
                ('struck', models.BooleanField(default=False, help_text='it was not so after all; settled_note says why')),
                ('form_key', models.CharField(blank=True, max_length=40, null=True, unique=True)),
                ('seen_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='findings', to=settings.AUTH_USER_MODEL)),
                ('settled_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('hand_over', models.ForeignKey(blank=True, help_text='the check-out or return at which it was seen', null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='findings', to='fleet.handover')),
            ],
            options={
                'ordering': ['-seen_at'],
            },
        ),
        migrations.CreateModel(
            name='Import',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('file_name', models.CharField(max_length=200)),
                ('stage', models.CharField(choices=[('look', 'waiting to be looked at'), ('ready', 'looked at, not brought in'), ('owed', 'waiting to come in'), ('done', 'brought in'), ('undone', 'undone'), ('failed', 'not readable'), ('left', 'left out')], default='look', max_length=8)),
                ('made_at', models.DateTimeField()),
                ('make_missing', models.BooleanField(default=False)),
                ('choices', models.JSONField(default=dict)),
                ('sheets', models.JSONField(default=list)),
                ('made', models.JSONField(default=dict)),
                ('settled', models.JSONField(default=list, help_text='kept readings that fit after it')),
                ('rows_done', models.PositiveIntegerField(default=0)),
                ('rows_in_all', models.PositiveIntegerField(default=0)),
                ('said', models.CharField(blank=True, help_text='why it cannot be read', max_length=500)),
                ('done_at', models.DateTimeField(blank=True, null=True)),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(blank=True, help_text='empty: the command', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='imports', to=settings.AUTH_USER_MODEL)),
                ('undone_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='imports_undone', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-made_at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='ImportFile',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('content', models.BinaryField()),
                ('of_import', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='file', to='fleet.import')),
            ],
        ),
        migrations.CreateModel(
            name='ImportRefusal',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('sheet', models.CharField(max_length=120)),
                ('line', models.PositiveIntegerField()),
                ('cells', models.JSONField(default=list)),
                ('reason', models.CharField(max_length=500)),
                ('of_import', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='refusals', to='fleet.import')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.CreateModel(
            name='Machine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('tag', models.CharField(max_length=20, unique=True, validators=[django.core.validators.RegexValidator('^[^/?#\\s]([^/?#]*[^/?#\\s])?$', "A tag stands in the address of its machine's page: no /, ? or #, no blank at its ends.")])),
                ('serial', models.CharField(blank=True, help_text="VIN, PIN or maker's serial, as on the frame", max_length=40)),
                ('serial_unreadable', models.BooleanField(default=False, help_text='the number on the frame can no longer be read')),
                ('plate', models.CharField(blank=True, help_text='as on the road, where it has one', max_length=20, verbose_name='number plate')),
                ('year', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='model year')),
                ('started_on', models.DateField(blank=True, help_text='first day of work; first intervals count from here', null=True)),
                ('retired_on', models.DateField(blank=True, null=True)),
                ('retired_why', models.CharField(blank=True, help_text='sold, scrapped, lost', max_length=200)),
                ('day_rate', models.DecimalField(blank=True, decimal_places=2, help_text='empty: that of its class', max_digits=9, null=True)),
                ('duty_factor', models.FloatField(default=1, help_text='dust, mud, water: 0.5 makes meter intervals half as long', validators=[django.core.validators.MinValueValidator(0.1), django.core.validators.MaxValueValidator(2)])),
                ('notes', models.TextField(blank=True)),
                ('merged_into', models.ForeignKey(blank=True, editable=False, help_text='the entry that stays, where one machine stood in the books twice', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='merged', to='fleet.machine')),
            ],
            options={
                'ordering': ['tag'],
            },
        ),
        migrations.CreateModel(
            name='Hold',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('placed_at', models.DateTimeField()),
                ('reason', models.CharField(max_length=300)),
                ('released_at', models.DateTimeField(blank=True, null=True)),
                ('released_note', models.CharField(blank=True, max_length=200)),
                ('finding', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, to='fleet.finding')),
                ('placed_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('released_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='holds', to='fleet.machine')),
            ],
            options={
                'ordering': ['-placed_at'],
            },
        ),
        migrations.AddField(
            model_name='finding',
            name='machine',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='findings', to='fleet.machine'),
        ),
        migrations.AddField(
            model_name='booking',
            name='machine',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='bookings', to='fleet.machine'),
        ),
        migrations.CreateModel(
            name='Act',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('what', models.CharField(choices=[('out', 'check-out'), ('back', 'return'), ('job', 'finished job'), ('put_off', 'work put off'), ('finding', 'finding'), ('hold', 'hold'), ('reading', 'reading'), ('booking', 'booking'), ('count', 'stock count')], max_length=8)),
                ('at', models.DateTimeField()),
                ('words', models.CharField(max_length=200)),
                ('rows', models.JSONField(default=dict)),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='acts', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='acts', to='fleet.machine')),
            ],
            options={
                'ordering': ['-at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='MakeUp',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('maker', models.CharField(max_length=60)),
                ('model', models.CharField(max_length=60)),
                ('first_year', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('last_year', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('manual', models.CharField(blank=True, help_text="where the machine's own manual is kept", max_length=160)),
                ('machine_class', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='makeups', to='fleet.machineclass')),
            ],
            options={
                'ordering': ['machine_class__name', 'maker', 'model'],
            },
        ),
        migrations.AddField(
            model_name='machine',
            name='makeup',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='machines', to='fleet.makeup'),
        ),
        migrations.CreateModel(
            name='MakeUpMeter',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], max_length=8)),
                ('rolls_over_at', models.FloatField(blank=True, help_text='hours, metres or cycles at which it starts again at 0', null=True)),
                ('makeup', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='meters', to='fleet.makeup')),
            ],
        ),
        migrations.CreateModel(
            name='Meter',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('kind', models.CharField(choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], max_length=8)),
                ('fitted_at', models.DateTimeField()),
                ('first_value', models.FloatField(default=0, help_text='what it showed when fitted')),
                ('life_at_fitting', models.FloatField(blank=True, help_text='total use by then, where known; first meter alone', null=True)),
                ('removed_at', models.DateTimeField(blank=True, null=True)),
                ('last_value', models.FloatField(blank=True, null=True)),
                ('ending', models.CharField(blank=True, choices=[('swapped', 'swapped'), ('rolled', 'rolled over')], max_length=8)),
                ('rolls_over_at', models.FloatField(blank=True, null=True)),
                ('struck_at', models.DateTimeField(blank=True, help_text='when its fitting was undone: it never was on the machine', null=True)),
                ('struck_why', models.CharField(blank=True, max_length=200)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='meters', to='fleet.machine')),
                ('noted_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
                ('struck_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['machine', 'kind', 'fitted_at'],
            },
        ),
        migrations.CreateModel(
            name='Override',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('against', models.CharField(help_text='what the block said', max_length=400)),
                ('reason', models.CharField(max_length=300)),
                ('at', models.DateTimeField()),
                ('struck', models.BooleanField(default=False, help_text='the check-out for which it was decided was undone')),
                ('booking', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='overrides', to='fleet.booking')),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='overrides', to='fleet.machine')),
            ],
        ),
        migrations.CreateModel(
            name='Fluid',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('place', models.CharField(help_text='engine oil, coolant, hydraulic oil ...', max_length=60)),
                ('grade', models.CharField(blank=True, max_length=60)),
                ('capacity_ml', models.FloatField(validators=[django.core.validators.MinValueValidator(0)], verbose_name='capacity, mL')),
                ('makeup', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='fluids', to='fleet.makeup')),
                ('part', models.ForeignKey(blank=True, help_text='the fluid as it stands on the shelf', null=True, on_delete=django.db.models.deletion.PROTECT, to='fleet.part')),
            ],
            options={
                'ordering': ['place'],
            },
        ),
        migrations.CreateModel(
            name='FittingPart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('place', models.CharField(max_length=60)),
                ('quantity', models.PositiveSmallIntegerField(default=1)),
                ('makeup', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='fitting_parts', to='fleet.makeup')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='fits', to='fleet.part')),
            ],
            options={
                'ordering': ['place'],
            },
        ),
        migrations.AddField(
            model_name='delivery',
            name='part',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='deliveries', to='fleet.part'),
        ),
        migrations.CreateModel(
            name='Pin',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('work_key', models.CharField(max_length=120)),
                ('day', models.DateField()),
                ('at', models.DateTimeField()),
                ('lifted_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('lifted_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='pins', to='fleet.machine')),
                ('mechanic', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='pinned_work', to=settings.AUTH_USER_MODEL)),
            ],
        ),
        migrations.CreateModel(
            name='Progress',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('work_key', models.CharField(max_length=120)),
                ('at', models.DateTimeField()),
                ('minutes', models.PositiveSmallIntegerField(help_text='worked on it since the last note')),
                ('minutes_left', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1)])),
                ('note', models.CharField(blank=True, help_text='what is still open, what is missing', max_length=300)),
                ('form_key', models.CharField(blank=True, max_length=60, null=True, unique=True)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('done_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='begun', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='progress', to='fleet.machine')),
            ],
            options={
                'verbose_name_plural': 'progress',
                'ordering': ['-at', '-pk'],
            },
        ),
        migrations.CreateModel(
            name='PutOff',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('work_key', models.CharField(max_length=120)),
                ('day', models.DateField(help_text='the shop day from which it was put off')),
                ('reason', models.CharField(max_length=300)),
                ('at', models.DateTimeField()),
                ('lifted_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('lifted_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='put_offs', to='fleet.machine')),
            ],
        ),
        migrations.CreateModel(
            name='Reading',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('read_at', models.DateTimeField()),
                ('value', models.FloatField(help_text='hours, metres or cycles')),
                ('source', models.CharField(choices=[('counter', 'counter'), ('bench', 'bench'), ('round', 'meter round'), ('file', 'file'), ('feed', 'telematics'), ('setup', 'set-up')], max_length=8)),
                ('entered_at', models.DateTimeField()),
                ('really_so', models.BooleanField(default=False, help_text='odd, and confirmed by the person who read it')),
                ('void', models.BooleanField(default=False, help_text='a correction that says: this meter never showed that')),
                ('note', models.CharField(blank=True, max_length=200)),
                ('form_key', models.CharField(blank=True, help_text='made with the form, so that a form sent twice is one reading', max_length=40, null=True, unique=True)),
                ('corrects', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='corrected_by', to='fleet.reading')),
                ('meter', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='readings', to='fleet.meter')),
                ('read_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['meter', 'read_at'],
            },
        ),
        migrations.AddField(
            model_name='handover',
            name='readings',
            field=models.ManyToManyField(blank=True, to='fleet.reading'),
        ),
        migrations.CreateModel(
            name='ReadingToMend',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('fingerprint', models.CharField(help_text='the same row refused twice is one row', max_length=64, unique=True)),
                ('machine_text', models.CharField(blank=True, max_length=80)),
                ('meter_text', models.CharField(blank=True, max_length=40)),
                ('read_at_text', models.CharField(blank=True, max_length=80)),
                ('value_text', models.CharField(blank=True, max_length=80)),
                ('raw', models.TextField(blank=True, help_text='the whole row as it came')),
                ('source', models.CharField(choices=[('counter', 'counter'), ('bench', 'bench'), ('round', 'meter round'), ('file', 'file'), ('feed', 'telematics'), ('setup', 'set-up')], max_length=8)),
                ('file_name', models.CharField(blank=True, max_length=200)),
                ('line', models.PositiveIntegerField(blank=True, null=True)),
                ('reason', models.CharField(max_length=24)),
                ('sentence', models.CharField(max_length=400)),
                ('entered_at', models.DateTimeField()),
                ('mended_at', models.DateTimeField(blank=True, null=True)),
                ('mended_note', models.CharField(blank=True, max_length=200)),
                ('entered_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='readings_to_mend', to='fleet.machine')),
                ('mended_as', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, to='fleet.reading')),
                ('mended_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'readings to mend',
                'ordering': ['-entered_at', 'line'],
            },
        ),
        migrations.CreateModel(
            name='Service',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('code', models.SlugField(unique=True)),
                ('name', models.CharField(max_length=80)),
                ('minutes', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1)])),
                ('second_minutes', models.PositiveSmallIntegerField(default=0, help_text='0: one person does it alone', verbose_name='minutes of a second person')),
                ('second_for', models.CharField(blank=True, help_text='what the second person does: stand at the lowering valve', max_length=80)),
                ('several_days', models.BooleanField(default=False, help_text='may be longer than a working day: goes on day after day, the machine in its bay')),
                ('blocks_rental', models.BooleanField(default=True, help_text='a machine may not go out with this overdue')),
                ('overdue_cost_per_day', models.FloatField(default=10, help_text='wear and risk of a day late', validators=[django.core.validators.MinValueValidator(0)])),
                ('value', models.FloatField(default=100, help_text='what one such service costs; doing it early throws a share away', validators=[django.core.validators.MinValueValidator(0)])),
                ('invented', models.BooleanField(default=False, help_text='of the demo; not for real machines')),
                ('apart_from', models.ManyToManyField(blank=True, help_text='never in one visit with these: a wash and an open engine', to='fleet.service')),
                ('cautions', models.ManyToManyField(blank=True, to='fleet.caution')),
                ('covers', models.ManyToManyField(blank=True, help_text='doing this service satisfies these too', related_name='covered_by', to='fleet.service')),
                ('follows', models.ManyToManyField(blank=True, help_text='done after these where both are to be done: the road test after the brakes', related_name='followed_by', to='fleet.service')),
                ('set_ups', models.ManyToManyField(blank=True, to='fleet.setup')),
                ('second_skill', models.ForeignKey(blank=True, help_text='of the second person; empty: anybody of the shop', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.skill')),
                ('skill', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='fleet.skill')),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        migrations.CreateModel(
            name='Limit',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80)),
                ('unit', models.CharField(blank=True, max_length=16)),
                ('low', models.FloatField(blank=True, null=True)),
                ('high', models.FloatField(blank=True, null=True)),
                ('makeup', models.ForeignKey(blank=True, help_text='empty: every make-up', null=True, on_delete=django.db.models.deletion.CASCADE, to='fleet.makeup')),
                ('service', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='limits', to='fleet.service')),
                ('then', models.ForeignKey(blank=True, help_text='service that falls due when the limit, or its trend, is met', null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='called_by_limits', to='fleet.service')),
            ],
        ),
        migrations.CreateModel(
            name='LastDoneAnswer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('answer', models.CharField(choices=[('never', 'never done'), ('unknown', 'not known: look at it first')], max_length=8)),
                ('said_at', models.DateTimeField()),
                ('said_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='last_done_answers', to='fleet.machine')),
                ('service', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='last_done_answers', to='fleet.service')),
            ],
            options={
                'ordering': ['said_at', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='KeptWork',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('work_key', models.CharField(max_length=120)),
                ('title', models.CharField(help_text='what it was called on that day', max_length=300)),
                ('minutes', models.PositiveSmallIntegerField()),
                ('finding', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='fleet.finding')),
                ('kept_day', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='work', to='fleet.keptday')),
                ('mechanic', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.machine')),
                ('service', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.service')),
            ],
        ),
        migrations.CreateModel(
            name='Interval',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('meter_kind', models.CharField(blank=True, choices=[('hours', 'Hour meter'), ('distance', 'Odometer'), ('cycles', 'Cycle counter')], max_length=8)),
                ('every', models.FloatField(blank=True, null=True, verbose_name='every, on the meter')),
                ('first_at', models.FloatField(blank=True, null=True, verbose_name='first at, on the meter')),
                ('every_months', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('every_days', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('first_months', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('first_days', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('season_month', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(12)])),
                ('season_day', models.PositiveSmallIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(31)])),
                ('idle_months', models.PositiveSmallIntegerField(blank=True, help_text='out of service this long: due before it goes back to work', null=True)),
                ('early', models.FloatField(blank=True, null=True, verbose_name='early, on the meter')),
                ('late', models.FloatField(blank=True, null=True, verbose_name='late, on the meter')),
                ('early_percent', models.FloatField(blank=True, null=True)),
                ('late_percent', models.FloatField(blank=True, null=True)),
                ('meter_cap', models.FloatField(blank=True, null=True, verbose_name='percent at most, on the meter')),
                ('early_days', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('late_days', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('days_cap', models.PositiveSmallIntegerField(blank=True, null=True, verbose_name='percent at most, days')),
                ('anchor', models.CharField(choices=[('service', 'from the service'), ('due', 'from the due point'), ('keep', 'from the due point, unless done before its window'), ('window', 'from the due point if inside its window')], default='service', max_length=8)),
                ('end_of_month', models.BooleanField(default=False, help_text='runs to the last day of the month, as in 14 CFR 91.409(a)')),
                ('hard', models.BooleanField(default=False, help_text='set by law or standard: past its window it may not go out')),
                ('source', models.CharField(blank=True, help_text='page of the manual, law or standard', max_length=160)),
                ('machine', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='intervals', to='fleet.machine')),
                ('makeup', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='intervals', to='fleet.makeup')),
                ('service', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='intervals', to='fleet.service')),
            ],
        ),
        migrations.AddField(
            model_name='finding',
            name='calls_for',
            field=models.ForeignKey(blank=True, help_text='the service that it makes due', null=True, on_delete=django.db.models.deletion.SET_NULL, to='fleet.service'),
        ),
        migrations.CreateModel(
            name='Alteration',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('fitted_on', models.DateField(blank=True, null=True)),
                ('text', models.CharField(max_length=200)),
                ('extra_minutes', models.PositiveSmallIntegerField(default=0)),
                ('noted_at', models.DateTimeField(blank=True, null=True)),
                ('noted_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='alterations', to='fleet.machine')),
                ('slows', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='slowed_by', to='fleet.service')),
            ],
        ),
        migrations.CreateModel(
            name='ServiceNeed',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('place', models.CharField(help_text='as in the make-up: engine oil, oil filter', max_length=60)),
                ('share', models.FloatField(default=1, help_text='of the capacity or quantity', validators=[django.core.validators.MinValueValidator(0)])),
                ('service', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='needs', to='fleet.service')),
            ],
        ),
        migrations.CreateModel(
            name='ServiceRecord',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('done_at', models.DateTimeField()),
                ('minutes', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('note', models.TextField(blank=True)),
                ('cost', models.DecimalField(blank=True, decimal_places=2, max_digits=10, null=True)),
                ('entered_at', models.DateTimeField()),
                ('void', models.BooleanField(default=False, help_text='a correction that says: this was not done after all')),
                ('form_key', models.CharField(blank=True, help_text='made with the form, so that a form sent twice is one record', max_length=40, null=True, unique=True)),
                ('corrects', models.OneToOneField(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='corrected_by', to='fleet.servicerecord')),
                ('done_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='work_done', to=settings.AUTH_USER_MODEL)),
                ('entered_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='records', to='fleet.machine')),
                ('service', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='records', to='fleet.service')),
            ],
            options={
                'ordering': ['-done_at'],
            },
        ),
        migrations.CreateModel(
            name='RecordedMeter',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.FloatField(help_text='hours, metres or cycles')),
                ('meter', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.meter')),
                ('record', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='meters', to='fleet.servicerecord')),
            ],
        ),
        migrations.CreateModel(
            name='Measurement',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('value', models.FloatField()),
                ('limit', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='measurements', to='fleet.limit')),
                ('record', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='measurements', to='fleet.servicerecord')),
            ],
        ),
        migrations.AddField(
            model_name='finding',
            name='seen_during',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='findings', to='fleet.servicerecord'),
        ),
        migrations.AddField(
            model_name='finding',
            name='settled_during',
            field=models.ForeignKey(blank=True, help_text='the entry in the book that settled it', null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='settled', to='fleet.servicerecord'),
        ),
        migrations.CreateModel(
            name='ServiceStep',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveSmallIntegerField()),
                ('text', models.CharField(max_length=300)),
                ('tool', models.CharField(blank=True, max_length=60)),
                ('service', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='steps', to='fleet.service')),
            ],
            options={
                'ordering': ['service', 'position'],
            },
        ),
        migrations.CreateModel(
            name='Release',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField()),
                ('first_day', models.DateField()),
                ('last_day', models.DateField()),
                ('jobs', models.JSONField(default=list)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='releases', to='fleet.shop')),
            ],
            options={
                'ordering': ['-at'],
            },
        ),
        migrations.CreateModel(
            name='OvertimeDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('hours', models.FloatField(validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(12)])),
                ('reason', models.CharField(blank=True, max_length=120)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='overtime_days', to='fleet.shop')),
            ],
            options={
                'ordering': ['day', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='OpenDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('hours', models.FloatField(validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(24)])),
                ('reason', models.CharField(blank=True, max_length=120)),
                ('at', models.DateTimeField()),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='open_days', to='fleet.shop')),
            ],
            options={
                'ordering': ['day', 'pk'],
            },
        ),
        migrations.AddField(
            model_name='keptday',
            name='shop',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='kept_days', to='fleet.shop'),
        ),
        migrations.AddField(
            model_name='delivery',
            name='shop',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='deliveries', to='fleet.shop'),
        ),
        migrations.CreateModel(
            name='CapacitySpell',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_month', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(12)])),
                ('first_day', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(31)])),
                ('last_month', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(12)])),
                ('last_day', models.PositiveSmallIntegerField(help_text='the last day itself belongs to it', validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(31)])),
                ('reason', models.CharField(help_text='haying, the month before storage, a fair', max_length=80)),
                ('share', models.FloatField(help_text="of everybody's usual hours: 0.5 is half, 1.25 a quarter more, 0 none", validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(2)])),
                ('overtime_limit_hours', models.FloatField(blank=True, help_text='at most, by one person; empty: as on any other day of the shop', null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(16)], verbose_name='hours of overtime a day')),
                ('year', models.PositiveSmallIntegerField(blank=True, help_text='in which it begins; empty: every year', null=True, validators=[django.core.validators.MinValueValidator(2000), django.core.validators.MaxValueValidator(2200)])),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='capacity_spells', to='fleet.shop')),
            ],
            options={
                'verbose_name': 'busy or slack week',
                'verbose_name_plural': 'busy and slack weeks',
                'ordering': ['first_month', 'first_day', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='BayLoan',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_day', models.DateField()),
                ('last_day', models.DateField(help_text='the last day itself belongs to the loan')),
                ('bays', models.SmallIntegerField(help_text='1 is one bay more than usual, -1 one lent away', validators=[django.core.validators.MinValueValidator(-50), django.core.validators.MaxValueValidator(50)])),
                ('note', models.CharField(blank=True, help_text='lent by or to whom', max_length=120)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='bay_loans', to='fleet.shop')),
            ],
            options={
                'ordering': ['first_day', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='ShopHours',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weekday', models.PositiveSmallIntegerField(choices=[(0, 'Monday'), (1, 'Tuesday'), (2, 'Wednesday'), (3, 'Thursday'), (4, 'Friday'), (5, 'Saturday'), (6, 'Sunday')])),
                ('opens', models.TimeField()),
                ('closes', models.TimeField()),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='hours', to='fleet.shop')),
            ],
            options={
                'verbose_name_plural': 'shop hours',
                'ordering': ['shop', 'weekday'],
            },
        ),
        migrations.CreateModel(
            name='Qualification',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('valid_until', models.DateField(blank=True, help_text='last day on which it holds; empty: without an end', null=True)),
                ('certificate', models.CharField(blank=True, help_text='number, given by whom', max_length=80)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='qualifications', to=settings.AUTH_USER_MODEL)),
                ('skill', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='qualifications', to='fleet.skill')),
            ],
            options={
                'verbose_name': 'skill held',
                'verbose_name_plural': 'skills held',
                'ordering': ['person', 'skill'],
            },
        ),
        migrations.CreateModel(
            name='LentHand',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(blank=True, help_text='of somebody from outside', max_length=80)),
                ('first_day', models.DateField()),
                ('last_day', models.DateField(help_text='their last day here')),
                ('hours', models.FloatField(default=8, help_text='on each day that the shop is open; busy and slack weeks do not change them', validators=[django.core.validators.MinValueValidator(0.25), django.core.validators.MaxValueValidator(24)], verbose_name='hours a day')),
                ('note', models.CharField(blank=True, help_text='lent by whom, and what for', max_length=120)),
                ('person', models.ForeignKey(blank=True, help_text='one of your own people, of another shop; empty: somebody from outside', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='lent', to=settings.AUTH_USER_MODEL)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lent_hands', to='fleet.shop')),
                ('skills', models.ManyToManyField(blank=True, help_text='what they can do here; of your own people empty means what they hold anyway', related_name='+', to='fleet.skill')),
            ],
            options={
                'verbose_name': 'borrowed mechanic',
                'verbose_name_plural': 'borrowed mechanics',
                'ordering': ['first_day', 'pk'],
            },
        ),
        migrations.AddField(
            model_name='finding',
            name='second_skill',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='fleet.skill'),
        ),
        migrations.AddField(
            model_name='finding',
            name='skill',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, to='fleet.skill'),
        ),
        migrations.AddField(
            model_name='person',
            name='skills',
            field=models.ManyToManyField(blank=True, related_name='people', through='fleet.Qualification', to='fleet.skill'),
        ),
        migrations.CreateModel(
            name='StockMovement',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('quantity', models.FloatField(help_text='pieces or mL; below zero for what left')),
                ('reason', models.CharField(choices=[('count', 'count corrected'), ('received', 'received'), ('used', 'used')], max_length=8)),
                ('at', models.DateTimeField()),
                ('note', models.CharField(blank=True, max_length=120)),
                ('counted', models.FloatField(blank=True, help_text='what was found on the shelf; pieces or mL', null=True)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to=settings.AUTH_USER_MODEL)),
                ('corrects', models.OneToOneField(blank=True, help_text='the movement that this one takes back', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='corrected_by', to='fleet.stockmovement')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='movements', to='fleet.part')),
                ('record', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='parts_used', to='fleet.servicerecord')),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='movements', to='fleet.shop')),
            ],
            options={
                'ordering': ['at'],
            },
        ),
        migrations.CreateModel(
            name='Storage',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_day', models.DateField()),
                ('last_day', models.DateField(blank=True, null=True)),
                ('reason', models.CharField(blank=True, max_length=120)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='storages', to='fleet.machine')),
            ],
            options={
                'verbose_name_plural': 'storage periods',
                'ordering': ['first_day'],
            },
        ),
        migrations.CreateModel(
            name='ToComplete',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('model', models.CharField(help_text='name of the model: yard, service, makeup', max_length=40)),
                ('row_id', models.PositiveBigIntegerField()),
                ('name', models.CharField(max_length=160)),
                ('lacks', models.CharField(max_length=200)),
                ('settled_at', models.DateTimeField(blank=True, null=True)),
                ('of_import', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='to_complete', to='fleet.import')),
                ('settled_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'things to complete',
                'ordering': ['model', 'name'],
            },
        ),
        migrations.CreateModel(
            name='WorkEstimate',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('work_key', models.CharField(max_length=120)),
                ('minutes', models.PositiveIntegerField()),
                ('reason', models.CharField(blank=True, max_length=300)),
                ('at', models.DateTimeField()),
                ('lifted_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('lifted_by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='estimates', to='fleet.machine')),
            ],
        ),
        migrations.CreateModel(
            name='WorkingHours',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('weekday', models.PositiveSmallIntegerField(choices=[(0, 'Monday'), (1, 'Tuesday'), (2, 'Wednesday'), (3, 'Thursday'), (4, 'Friday'), (5, 'Saturday'), (6, 'Sunday')])),
                ('hours', models.FloatField(validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(24)])),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='working_hours', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name_plural': 'working hours',
                'ordering': ['person', 'weekday'],
            },
        ),
        migrations.CreateModel(
            name='Yard',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('time_zone', models.CharField(default='UTC', max_length=64, validators=[fleet.models.places.check_time_zone])),
                ('units', models.CharField(choices=[('us', 'US (miles, quarts)'), ('metric', 'Metric (kilometres, litres)')], default='us', max_length=8)),
                ('remote', models.BooleanField(default=False, help_text='the mechanic drives to the machines; they do not come to the shop')),
                ('travel_hours', models.FloatField(default=0, help_text='there and back, hours', validators=[django.core.validators.MinValueValidator(0)])),
                ('trip_cost', models.FloatField(default=0, validators=[django.core.validators.MinValueValidator(0)])),
                ('duty_factor', models.FloatField(default=1, help_text='dust, mud, water: 0.5 makes meter intervals half as long', validators=[django.core.validators.MinValueValidator(0.1), django.core.validators.MaxValueValidator(2)])),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='yards', to='fleet.shop')),
            ],
        ),
        migrations.CreateModel(
            name='SeasonWeight',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('first_month', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(12)])),
                ('first_day', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(31)])),
                ('last_month', models.PositiveSmallIntegerField(validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(12)])),
                ('last_day', models.PositiveSmallIntegerField(help_text='the last day itself belongs to it', validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(31)])),
                ('reason', models.CharField(help_text='haying, calving, winter storage, holidays', max_length=80)),
                ('weight', models.FloatField(help_text='use on such a day against a usual one: 2 is twice as much, 0 none at all', validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(5)])),
                ('machine_class', models.ForeignKey(blank=True, help_text='empty: of all classes', null=True, on_delete=django.db.models.deletion.CASCADE, related_name='seasons', to='fleet.machineclass')),
                ('makeup', models.ForeignKey(blank=True, help_text='empty: of all make-ups', null=True, on_delete=django.db.models.deletion.CASCADE, related_name='seasons', to='fleet.makeup')),
                ('yard', models.ForeignKey(blank=True, help_text='empty: of all yards', null=True, on_delete=django.db.models.deletion.CASCADE, related_name='seasons', to='fleet.yard')),
            ],
            options={
                'verbose_name': 'season',
                'ordering': ['first_month', 'first_day', 'pk'],
            },
        ),
        migrations.AddField(
            model_name='machine',
            name='yard',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='machines', to='fleet.yard'),
        ),
        migrations.CreateModel(
            name='ClosedDay',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('day', models.DateField()),
                ('reason', models.CharField(blank=True, max_length=120)),
                ('at', models.DateTimeField(editable=False, null=True)),
                ('by', models.ForeignKey(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('shop', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='closed_days', to='fleet.shop')),
                ('yard', models.ForeignKey(blank=True, help_text='empty: the whole shop; a remote yard: nobody drives there on that day', null=True, on_delete=django.db.models.deletion.CASCADE, related_name='closed_days', to='fleet.yard')),
            ],
            options={
                'ordering': ['day'],
            },
        ),
        migrations.CreateModel(
            name='LoggedChange',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField()),
                ('kind', models.CharField(help_text='what was changed: machine, interval, booking', max_length=40)),
                ('subject_id', models.PositiveBigIntegerField(help_text='the number of the row that was changed')),
                ('subject', models.CharField(help_text='its name as it was then', max_length=200)),
                ('act', models.CharField(help_text='what was done: corrected, struck, renamed', max_length=80)),
                ('values', models.JSONField(default=list)),
                ('reason', models.CharField(blank=True, max_length=300)),
                ('by', models.ForeignKey(blank=True, help_text='empty: a command or the program itself', null=True, on_delete=django.db.models.deletion.PROTECT, related_name='changes_made', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(blank=True, help_text='on whose page it is told', null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='changes', to='fleet.machine')),
            ],
            options={
                'ordering': ['-at', '-pk'],
                'indexes': [models.Index(fields=['machine', '-at'], name='change_by_machine'), models.Index(fields=['kind', 'subject_id', '-at'], name='change_by_subject'), models.Index(fields=['-at'], name='change_by_time')],
            },
        ),
        migrations.CreateModel(
            name='FormerTag',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('tag', models.CharField(max_length=20)),
                ('given_up_at', models.DateTimeField()),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('machine', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='former_tags', to='fleet.machine')),
            ],
            options={
                'ordering': ['-given_up_at', '-pk'],
                'indexes': [models.Index(fields=['tag'], name='former_tag_by_text')],
            },
        ),
        migrations.AddIndex(
            model_name='booking',
            index=models.Index(fields=['machine', 'first_day'], name='booking_by_machine'),
        ),
        migrations.AddConstraint(
            model_name='booking',
            constraint=models.CheckConstraint(condition=models.Q(('last_day__gte', models.F('first_day'))), name='booking_ends_after_it_starts', violation_error_message='The last day is before the first.'),
        ),
        migrations.AddIndex(
            model_name='act',
            index=models.Index(fields=['by', '-at'], name='act_by_person'),
        ),
        migrations.AddConstraint(
            model_name='makeup',
            constraint=models.UniqueConstraint(fields=('maker', 'model', 'first_year'), name='one_make_up_of_model_and_year'),
        ),
        migrations.AddConstraint(
            model_name='makeup',
            constraint=models.UniqueConstraint(condition=models.Q(('first_year', None)), fields=('maker', 'model'), name='one_make_up_of_a_model_without_year'),
        ),
        migrations.AddConstraint(
            model_name='makeupmeter',
            constraint=models.UniqueConstraint(fields=('makeup', 'kind'), name='one_meter_of_a_kind'),
        ),
        migrations.AddConstraint(
            model_name='meter',
            constraint=models.UniqueConstraint(condition=models.Q(('removed_at', None), ('struck_at', None)), fields=('machine', 'kind'), name='one_meter_of_a_kind_at_a_time'),
        ),
        migrations.AddConstraint(
            model_name='meter',
            constraint=models.UniqueConstraint(condition=models.Q(('struck_at', None)), fields=('machine', 'kind', 'fitted_at'), name='one_fitting_at_a_time'),
        ),
        migrations.AddConstraint(
            model_name='fluid',
            constraint=models.UniqueConstraint(fields=('makeup', 'place'), name='one_fluid_a_place'),
        ),
        migrations.AddConstraint(
            model_name='fittingpart',
            constraint=models.UniqueConstraint(fields=('makeup', 'place', 'part'), name='one_part_a_place'),
        ),
        migrations.AddConstraint(
            model_name='pin',
            constraint=models.UniqueConstraint(condition=models.Q(('lifted_at', None)), fields=('work_key',), name='one_pin_at_a_time'),
        ),
        migrations.AddIndex(
            model_name='progress',
            index=models.Index(fields=['machine', 'work_key'], name='progress_of_work'),
        ),
        migrations.AddConstraint(
            model_name='putoff',
            constraint=models.UniqueConstraint(condition=models.Q(('lifted_at', None)), fields=('work_key', 'day'), name='put_off_once_a_day'),
        ),
        migrations.AddIndex(
            model_name='reading',
            index=models.Index(fields=['meter', 'read_at'], name='reading_by_meter_and_time'),
        ),
        migrations.AddConstraint(
            model_name='reading',
            constraint=models.UniqueConstraint(condition=models.Q(('corrects', None)), fields=('meter', 'read_at', 'value'), name='same_reading_once'),
        ),
        migrations.AddConstraint(
            model_name='handover',
            constraint=models.UniqueConstraint(condition=models.Q(('struck_at', None)), fields=('booking', 'direction'), name='out_once_and_back_once'),
        ),
        migrations.AddIndex(
            model_name='lastdoneanswer',
            index=models.Index(fields=['machine', 'service'], name='last_done_by_machine'),
        ),
        migrations.AddConstraint(
            model_name='keptwork',
            constraint=models.UniqueConstraint(fields=('kept_day', 'work_key'), name='kept_once_a_day'),
        ),
        migrations.AddConstraint(
            model_name='interval',
            constraint=models.CheckConstraint(condition=models.Q(('makeup', None), ('machine', None), _connector='XOR'), name='interval_of_a_make_up_or_a_machine', violation_error_message='Choose a make-up or one machine, not both.'),
        ),
        migrations.AddConstraint(
            model_name='interval',
            constraint=models.UniqueConstraint(condition=models.Q(('makeup__isnull', False)), fields=('service', 'makeup'), name='one_interval_of_a_service_on_a_make_up'),
        ),
        migrations.AddConstraint(
            model_name='interval',
            constraint=models.UniqueConstraint(condition=models.Q(('machine__isnull', False)), fields=('service', 'machine'), name='one_interval_of_a_service_on_a_machine'),
        ),
        migrations.AddConstraint(
            model_name='serviceneed',
            constraint=models.UniqueConstraint(fields=('service', 'place'), name='one_need_a_place'),
        ),
        migrations.AddIndex(
            model_name='servicerecord',
            index=models.Index(fields=['machine', 'service'], name='record_by_machine'),
        ),
        migrations.AddConstraint(
            model_name='recordedmeter',
            constraint=models.UniqueConstraint(fields=('record', 'meter'), name='one_value_a_meter'),
        ),
        migrations.AddConstraint(
            model_name='servicestep',
            constraint=models.UniqueConstraint(fields=('service', 'position'), name='one_step_a_position'),
        ),
        migrations.AddIndex(
            model_name='overtimeday',
            index=models.Index(fields=['shop', 'day'], name='overtime_day_by_shop'),
        ),
        migrations.AddIndex(
            model_name='openday',
            index=models.Index(fields=['shop', 'day'], name='open_day_by_shop'),
        ),
        migrations.AddConstraint(
            model_name='keptday',
            constraint=models.UniqueConstraint(fields=('shop', 'day'), name='day_kept_once'),
        ),
        migrations.AddConstraint(
            model_name='bayloan',
            constraint=models.CheckConstraint(condition=models.Q(('last_day__gte', models.F('first_day'))), name='bay_loan_ends_after_it_starts', violation_error_message='The last day is before the first; swap them or correct one.'),
        ),
        migrations.AddConstraint(
            model_name='shophours',
            constraint=models.UniqueConstraint(fields=('shop', 'weekday'), name='one_row_a_weekday'),
        ),
        migrations.AddConstraint(
            model_name='shophours',
            constraint=models.CheckConstraint(condition=models.Q(('closes__gt', models.F('opens'))), name='shop_closes_after_it_opens', violation_error_message='The shop must close after it opens.'),
        ),
        migrations.AddConstraint(
            model_name='qualification',
            constraint=models.UniqueConstraint(fields=('person', 'skill'), name='a_skill_held_once', violation_error_message='This skill is given twice; keep one row of it.'),
        ),
        migrations.AddConstraint(
            model_name='lenthand',
            constraint=models.CheckConstraint(condition=models.Q(('last_day__gte', models.F('first_day'))), name='lent_hand_leaves_after_coming', violation_error_message='The last day is before the first; swap them or correct one.'),
        ),
        migrations.AddIndex(
            model_name='stockmovement',
            index=models.Index(fields=['shop', 'part'], name='movement_by_shop_and_part'),
        ),
        migrations.AddConstraint(
            model_name='workestimate',
            constraint=models.UniqueConstraint(condition=models.Q(('lifted_at', None)), fields=('work_key',), name='one_estimate_at_a_time'),
        ),
        migrations.AddConstraint(
            model_name='workinghours',
            constraint=models.UniqueConstraint(fields=('person', 'weekday'), name='one_working_row_a_weekday'),
        ),
        migrations.AddConstraint(
            model_name='closedday',
            constraint=models.UniqueConstraint(condition=models.Q(('yard', None)), fields=('shop', 'day'), name='shop_closed_once_a_day'),
        ),
        migrations.AddConstraint(
            model_name='closedday',
            constraint=models.UniqueConstraint(condition=models.Q(('yard__isnull', False)), fields=('yard', 'day'), name='yard_closed_once_a_day'),
        ),
    ]
