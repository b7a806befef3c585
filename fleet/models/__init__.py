"""Facts, one file a subject."""

from fleet.models.accessories import Accessory
from fleet.models.acts import Act
from fleet.models.book import Measurement, RecordedMeter, ServiceRecord
from fleet.models.bookings import Booking, BookingChange, HandOver
from fleet.models.calendar_key import CalendarKey
from fleet.models.capacity import BayLoan, CapacitySpell
from fleet.models.change_log import LoggedChange
from fleet.models.client_keys import ClientKey, KeptAnswer, KeyScope
from fleet.models.coverings import Covering
from fleet.models.customers import Customer
from fleet.models.decisions import Override, Pin, PutOff, Release, WorkEstimate
from fleet.models.demo_mark import DemoMark
from fleet.models.extra_days import OpenDay, OvertimeDay
from fleet.models.faults import FaultOutcome, FaultSearch, FoundFault
from fleet.models.feed_keys import FeedKey
from fleet.models.finding_photos import FindingPhoto
from fleet.models.findings import Finding, Hold
from fleet.models.former_tags import FormerTag
from fleet.models.hand_keys import HandKey, HandKeyKind, HandKeyUse
from fleet.models.hand_over_extras import HandOverCharge, HandOverPhoto
from fleet.models.hires import ClassLine, Hire, Waiting
from fleet.models.imports import Import, ImportFile, ImportRefusal, ToComplete
from fleet.models.kept_days import KeptDay, KeptWork
from fleet.models.last_done import LastDoneAnswer
from fleet.models.lent_hands import LentHand
from fleet.models.machines import Alteration, Machine, Storage
from fleet.models.makeups import (
    FittingPart,
    Fluid,
    MachineClass,
    MakeUp,
    MakeUpFigure,
    MakeUpMeter,
    MeterKind,
    RunsOn,
)
from fleet.models.meters import Meter, Reading, ReadingToMend, Source
from fleet.models.order_lines import OrderedFor, OrderLine
from fleet.models.people import (
    Absence,
    Person,
    Qualification,
    Role,
    Skill,
    Tongue,
    WorkingHours,
)
from fleet.models.places import ClosedDay, Shop, ShopHours, Units, Yard
from fleet.models.presses import Press
from fleet.models.procedures import DoneText, LibraryCopy
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
from fleet.models.sheet_entries import SheetEntry
from fleet.models.step_answers import StepAnswer
from fleet.models.step_pictures import StepPicture
from fleet.models.stock import Delivery, DeliveryChange, Part, StockMovement
from fleet.models.substitutes import Substitute
from fleet.models.walk_rounds import WalkRoundPoint
from fleet.models.work_photos import WorkPhoto
from fleet.models.work_under_way import Progress

__all__ = [
    "Absence",
    "Accessory",
    "Act",
    "Alteration",
    "Anchor",
    "BayLoan",
    "Booking",
    "BookingChange",
    "CalendarKey",
    "CapacitySpell",
    "Caution",
    "ClassLine",
    "ClientKey",
    "ClosedDay",
    "Covering",
    "Customer",
    "Delivery",
    "DeliveryChange",
    "DemoMark",
    "DoneText",
    "FaultOutcome",
    "FaultSearch",
    "FeedKey",
    "Finding",
    "FindingPhoto",
    "FittingPart",
    "Fluid",
    "FormerTag",
    "FoundFault",
    "HandKey",
    "HandKeyKind",
    "HandKeyUse",
    "HandOver",
    "HandOverCharge",
    "HandOverPhoto",
    "Hire",
    "Hold",
    "Import",
    "ImportFile",
    "ImportRefusal",
    "Interval",
    "KeptAnswer",
    "KeptDay",
    "KeptWork",
    "KeyScope",
    "LastDoneAnswer",
    "LentHand",
    "LibraryCopy",
    "Limit",
    "LoggedChange",
    "Machine",
    "MachineClass",
    "MakeUp",
    "MakeUpFigure",
    "MakeUpMeter",
    "Measurement",
    "Meter",
    "MeterKind",
    "OpenDay",
    "OrderLine",
    "OrderedFor",
    "Override",
    "OvertimeDay",
    "Part",
    "Person",
    "Pin",
    "Press",
    "Progress",
    "PutOff",
    "Qualification",
    "Reading",
    "ReadingToMend",
    "RecordedMeter",
    "Release",
    "Role",
    "RunsOn",
    "SeasonWeight",
    "Service",
    "ServiceNeed",
    "ServiceRecord",
    "ServiceStep",
    "SetUp",
    "SheetEntry",
    "Shop",
    "ShopHours",
    "Skill",
    "Source",
    "StepAnswer",
    "StepPicture",
    "StockMovement",
    "Storage",
    "Substitute",
    "ToComplete",
    "Tongue",
    "Units",
    "Waiting",
    "WalkRoundPoint",
    "WorkEstimate",
    "WorkPhoto",
    "WorkingHours",
    "Yard",
]
