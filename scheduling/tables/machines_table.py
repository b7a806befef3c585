"""The list of machines."""

import django_tables2 as tables


class MachineTable(tables.Table):
    """Machines as they are always shown, with where they live and what comes next."""

    machine = tables.TemplateColumn(
        "{% machine_line record %}",
        accessor="tag",
        verbose_name="Machine",
        attrs={"td": {"class": "whole"}},
    )
    yard = tables.Column("Yard", accessor="yard__name")
    meter = tables.TemplateColumn(
        "{% with p=record.now.due_point %}{% if p.life_now is not None %}"
        "{% use p.life_now p.meter_kind record.yard.units %}"
        '<br><span class="small soft">{{ p.read_on|short_date:today }}</span>'
        "{% endif %}{% endwith %}",
        accessor="now__due_point__life_now",
        verbose_name="Total use",
        orderable=False,
        attrs={"td": {"class": "nowrap"}},
    )
    service = tables.TemplateColumn(
        "{{ record.now.due_point.service.name|default:''|spoken }}",
        verbose_name="Next service",
        accessor="now__due_point__service__name",
    )
    next_due = tables.TemplateColumn(
        "{% if record.retired_on %}{{ 'retired'|spoken }} {{ record.retired_on|said_date:today }}"
        "{% elif record.now.next_due %}{{ record.now.next_due|said_date:today }}"
        '{% elif record.now.due_point %}<span class="soft">{{ "beyond 120 days"|spoken }}</span>'
        "{% endif %}",
        verbose_name="Most likely due",
        accessor="now__next_due",
        order_by=("gravity", "now__next_due", "tag"),
    )

    class Meta:
        order_by_field = "sort"
        per_page = 25
        empty_text = "No machine matches. Remove one of the filters."
