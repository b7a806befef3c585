"""Workbooks of an invented yard, as people make them."""

from io import BytesIO

from django.apps import apps
from openpyxl import Workbook

FLEET = [
    ["Our machines, November"],
    [],
    ["Unit #", "Make", "Model", "Class", "Yr", "Location", "VIN", "Plate", "In service",
     "Hours at start", "Odometer mi"],
    ["Quads"],
    ["MX-02", "Tarnbeck", "T20", "Quad", 2021, "North", "TB 000-001", "AB 12", "3/25/2021", 12.5,
     "1,204"],
    ["MX-03", "Tarnbeck", "T20", "Quad", 2021, "north", "TB000002", "", "4/2/2021", "0 h", ""],
    ["SL-01", "Orrel", "X9", "Skid steer", 2020, "South", "", None, "2020-05-01", "1.5", None],
]  # fmt: skip
SERVICES = [
    ["Machine", "What was done", "Date", "Hours", "Min", "Remarks"],
    ["mx 02", "Oil change", "03/12/2024", "1,250.5", 45, "ok"],
    ["MX02", "Oil chnage", "13/12/2025", "1480 h", 50, ""],
    ["SL-01", "Grease", "1/2/2025 5:00 pm", 300, None, None],
]
INTERVALS = [
    ["For", "Service", "Every", "First at", "Late", "Page"],
    ["Tarnbeck T20", "Oil change", "100 h or 12 months", "20 h", "10 h", "p. 12"],
    ["Skid steer", "Grease", "50 h", "", "10 %", "p. 3"],
]
PARTS = [
    ["Part no.", "Description", "Unit", "Cost", "On hand"],
    ["OF-1", "Oil filter", "pcs", "$ 12.50", 4],
    ["OIL", "Engine oil", "L", "6.00", 24],
]
PEOPLE = [
    ["Name", "Role", "E-mail", "Skills", "Hours per week"],
    ["Ada Quill", "Mechanic", "ada@example.org", "general, hydraulic", 40],
    ["Bo Marsh", "Desk", "bo@example.org", "", ""],
]
BOOKINGS = [
    ["Unit", "Out", "Back", "Customer", "Price"],
    ["MX-03", "12/20/2026", "12/24/2026", "Juniper Camp", "$1,200.00"],
    ["MX-03", "6/1/2025", "6/13/2025", "Lake School", "900"],
]
READINGS = [
    ["Tag", "Date", "Time", "Hours (h)"],
    *[["MX 03", f"2025-{month:02}-05", "5:00 pm", month * 20] for month in range(1, 10)],
    ["Total", "", "", 900],
]
MAKE_UPS = [
    ["Maker", "Model", "Class", "Meters", "From year"],
    ["Bramm", "B2", "Mini excavator", "hours", 2018],
]
ALL = {
    "Models": MAKE_UPS,
    "Fleet": FLEET,
    "Service history": SERVICES,
    "Intervals": INTERVALS,
    "Stock": PARTS,
    "Team": PEOPLE,
    "Rentals": BOOKINGS,
    "Readings": READINGS,
}
"""Name of a sheet -> its rows."""

BESIDE_THE_FACTS = {"Import", "ImportFile", "ImportRefusal", "LoggedChange", "ToComplete"}
"""Models of imports themselves: an undone import stays on record."""


def workbook(sheets=None):
    """Return a workbook of these sheets as bytes."""
    book = Workbook()
    book.remove(book.active)
    for name, rows in (ALL if sheets is None else sheets).items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    kept = BytesIO()
    book.save(kept)
    return kept.getvalue()


def row_counts():
    """Return how many rows each model of facts has."""
    return {
        model.__name__: model._default_manager.count()
        for model in apps.get_app_config("fleet").get_models()
        if model.__name__ not in BESIDE_THE_FACTS
    }
