"""The overdue table of the manager's page."""

import django_tables2 as tables


class OverdueTable(tables.Table):
    """What is overdue, worst first until another order is asked for."""

    machine = tables.TemplateColumn(
        '{% machine_line record.machine "overdue" None %}',
        order_by="machine__tag",
        attrs={"td": {"class": "whole"}},
    )
    service = tables.Column(accessor="point__service__name")
    past = tables.Column("Past due by", order_by="-gravity")
    last_done = tables.TemplateColumn(
        "{% if record.point.last_done_on %}{{ record.point.last_done_on|said_date:today }}"
        "{% else %}no record of it{% endif %}",
        accessor="point__last_done_on",
    )
    booking = tables.TemplateColumn(
        "{% if record.booking %}{{ record.booking.customer }}, "
        "{% if record.booking.is_out %}out now, "
        "back {{ record.booking.last_day|short_date:today }}{% else %}"
        "{{ record.booking.first_day|said_date:today }}{% endif %}{% else %}none{% endif %}",
        verbose_name="Blocked booking",
        accessor="booking__first_day",
    )
    planned = tables.TemplateColumn(
        "{% if record.planned_day %}{{ record.planned_day|said_date:today }}"
        "{% else %}not yet{% endif %}",
        accessor="planned_day",
    )

    anchor = "#overdue"

    class Meta:
        order_by_field = "overdue"
        empty_text = "Nothing is overdue."
