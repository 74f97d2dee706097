"""What is taken along of an outing: route card, calendar, message home, printed sheet."""

from backbearing.plans.taking.calendar import CalendarAlarm, CalendarEntry, calendar_entry
from backbearing.plans.taking.call import whom_to_call
from backbearing.plans.taking.route import RouteRow, route_card
from backbearing.plans.taking.sheet import SheetAnswer, gather_sheet

__all__ = [
    "CalendarAlarm",
    "CalendarEntry",
    "RouteRow",
    "SheetAnswer",
    "calendar_entry",
    "gather_sheet",
    "route_card",
    "whom_to_call",
]
