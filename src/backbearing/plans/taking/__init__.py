"""What is taken along of an outing: route card, calendar, message home, printed sheet."""

from backbearing.plans.taking.calendar import CalendarAlarm, CalendarEntry, calendar_entries
from backbearing.plans.taking.route import RouteRow, route_card
from backbearing.plans.taking.sheet import SheetAnswer, gather_sheet

__all__ = [
    "CalendarAlarm",
    "CalendarEntry",
    "RouteRow",
    "SheetAnswer",
    "calendar_entries",
    "gather_sheet",
    "route_card",
]
