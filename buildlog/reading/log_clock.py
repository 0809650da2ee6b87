"""Times of day as loggers write them, with their date or without."""

from __future__ import annotations

import re
from datetime import date

DAY_FIRST, MONTH_FIRST = "day first", "month first"
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_TIME = re.compile(
    r"(?:(?P<date>[0-9A-Za-z./-]{8,11}|[0-9]{1,2} [A-Za-z]{3} [0-9]{4})[ T]+)?"
    r"(?P<hour>[0-9]{1,2}):(?P<minute>[0-9]{2}):"
    r"(?P<second>[0-9]{2}(?:[.,][0-9]+)?)\s*(?P<half>[AaPp][Mm])?\s*(?P<zone>Z|[+-][0-9]{2}:?[0-9]{2})?"
)
_YEAR_FIRST = re.compile(r"([0-9]{4})[-/.]([0-9]{2})[-/.]([0-9]{2})")
_NAMED = re.compile(r"([0-9]{1,2})[- /.]([A-Za-z]{3})[- /.]([0-9]{4})")
_NUMBERS = re.compile(r"([0-9]{1,2})[-/.]([0-9]{1,2})[-/.]([0-9]{4})")


def clock_time(cell: str, order: str = "") -> float | None:
    """A time of day as seconds, from the beginning of the calendar where it has a date; None where it is no
    time.

    `order` says whether the day or the month comes first in a date such as 03/04/2026, which without it is
    none: nobody can tell.
    """
    match = _TIME.fullmatch(cell)
    if match is None:
        return None
    seconds = _time_of_day(match)
    days = _days(match["date"], order) if match["date"] else 0
    if seconds is None or days is None:
        return None
    zone = match["zone"]
    if zone and zone != "Z":
        sign = -1 if zone[0] == "+" else 1
        seconds += sign * (int(zone[1:3]) * 3600 + int(zone[-2:]) * 60)
    return days * 86400.0 + seconds


def _time_of_day(match: re.Match[str]) -> float | None:
    hour, minute, second = int(match["hour"]), int(match["minute"]), float(match["second"].replace(",", "."))
    if half := match["half"]:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half in ("PM", "pm", "Pm", "pM") else 0)
    if hour > 23 or minute > 59 or second >= 61:
        return None
    return hour * 3600 + minute * 60 + second


def _days(text: str, order: str) -> int | None:
    """The days up to a date, which is read in one way only."""
    if match := _YEAR_FIRST.fullmatch(text):
        year, month, day = (int(part) for part in match.groups())
    elif match := _NAMED.fullmatch(text):
        name = match[2].casefold()
        if name not in _MONTHS:
            return None
        year, month, day = int(match[3]), _MONTHS.index(name) + 1, int(match[1])
    elif (match := _NUMBERS.fullmatch(text)) and order:
        first, second, year = (int(part) for part in match.groups())
        day, month = (first, second) if order == DAY_FIRST else (second, first)
    else:
        return None
    try:
        return date(year, month, day).toordinal()
    except ValueError:
        return None
