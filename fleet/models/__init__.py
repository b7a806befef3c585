"""Facts, one file a subject."""

from fleet.models.book import Measurement, RecordedMeter, ServiceRecord
from fleet.models.bookings import Booking, BookingChange, HandOver
from fleet.models.calendar_key import CalendarKey
from fleet.models.decisions import Override, Pin, PutOff, Release
from fleet.models.demo import DemoMark
from fleet.models.findings import Finding, Hold
from fleet.models.kept_days import KeptDay, KeptWork
from fleet.models.machines import Alteration, Machine, Storage
from fleet.models.makeups import (
    FittingPart,
    Fluid,
    MachineClass,
    MakeUp,
    MakeUpMeter,
    MeterKind,
)
from fleet.models.meters import Meter, Reading, ReadingToMend, Source
from fleet.models.people import Absence, Person, Role, Skill, WorkingHours
from fleet.models.places import ClosedDay, Shop, ShopHours, Units, Yard
from fleet.models.seasons import SeasonWeight
from fleet.models.services import (
    Anchor,
    Caution,
    Interval,
    Limit,
    Service,
    ServiceNeed,
    ServiceStep,
    SetUp,
)
from fleet.models.stock import Delivery, Part, StockMovement

__all__ = [
    "Absence",
    "Alteration",
    "Anchor",
    "Booking",
    "BookingChange",
    "CalendarKey",
    "Caution",
    "ClosedDay",
    "Delivery",
    "DemoMark",
    "Finding",
    "FittingPart",
    "Fluid",
    "HandOver",
    "Hold",
    "Interval",
    "KeptDay",
    "KeptWork",
    "Limit",
    "Machine",
    "MachineClass",
    "MakeUp",
    "MakeUpMeter",
    "Measurement",
    "Meter",
    "MeterKind",
    "Override",
    "Part",
    "Person",
    "Pin",
    "PutOff",
    "Reading",
    "ReadingToMend",
    "RecordedMeter",
    "Release",
    "Role",
    "SeasonWeight",
    "Service",
    "ServiceNeed",
    "ServiceRecord",
    "ServiceStep",
    "SetUp",
    "Shop",
    "ShopHours",
    "Skill",
    "Source",
    "StockMovement",
    "Storage",
    "Units",
    "WorkingHours",
    "Yard",
]
