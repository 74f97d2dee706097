"""What the models take as an instant or a number, checked once at the door."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from backbearing.errors import BadInput, quoted

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from backbearing.records import Floats, Times

FIRST_YEAR, LAST_YEAR = 1800, 2199  # as far as the table of ΔT goes


def as_times(times: ArrayLike, where: str = "times") -> NDArray[np.datetime64]:
    """Instants as datetime64[us] in UTC, of the shape they came in; NaT stays NaT.

    Raises BadInput for anything but datetime64, and for years outside 1800 to 2199.
    """
    when: NDArray[Any] = np.asarray(times)
    if when.dtype.kind != "M":
        raise BadInput(
            f"instants must be numpy datetime64, not {when.dtype}",
            where=where,
            remedy="give UTC as np.datetime64('2026-03-01T12:00') or an array of them",
        )
    known = when[~np.isnat(when)]
    if known.size:
        # years first, and of the two ends only: straight to microseconds a far year would wrap
        for end in (known.min(), known.max()):
            year = int(end.astype("datetime64[Y]").astype(np.int64)) + 1970
            if not FIRST_YEAR <= year <= LAST_YEAR:
                raise BadInput(
                    f"the year {year} is outside {FIRST_YEAR} to {LAST_YEAR}",
                    where=where,
                    remedy="the sun's tables do not reach there",
                )
    return when.astype("datetime64[us]")


def as_instant(instant: datetime | np.datetime64, where: str) -> np.datetime64:
    """One instant as datetime64[ms] in UTC, from a datetime64 or an aware datetime.

    Raises BadInput for a naive datetime, NaT, or a year outside 1800 to 2199.
    """
    if isinstance(instant, datetime):
        if instant.tzinfo is None:
            raise BadInput(
                f"{instant.isoformat()} has no zone",
                where=where,
                remedy="attach one, for example .replace(tzinfo=timezone.utc)",
            )
        since = instant.astimezone(UTC) - datetime(1970, 1, 1, tzinfo=UTC)
        instant = np.datetime64(since // timedelta(milliseconds=1), "ms")
    checked = as_times(instant, where)
    if checked.ndim or np.isnat(checked):
        raise BadInput("one instant is wanted, and NaT is none", where=where)
    return np.datetime64(int(checked.astype("datetime64[ms]").astype(np.int64)), "ms")


def as_span(
    start: datetime | np.datetime64, end: datetime | np.datetime64
) -> tuple[np.datetime64, np.datetime64]:
    """A span of time as two datetime64[ms] in UTC.

    Raises BadInput as `as_instant` does, and where the end is before the start.
    """
    first, last = as_instant(start, "start"), as_instant(end, "end")
    if last < first:
        raise BadInput(f"the end {last}Z is before the start {first}Z", where="end")
    return first, last


def to_datetime(instant: np.datetime64) -> datetime:
    """A datetime64 as an aware datetime in UTC."""
    milliseconds = int(instant.astype("datetime64[ms]").astype(np.int64))
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=milliseconds)


def every(first: np.datetime64, last: np.datetime64, step_ms: int) -> Times:
    """Instants from first to last, `step_ms` apart, the last always among them."""
    steps = np.arange(first, last, np.timedelta64(step_ms, "ms"))
    return np.append(steps, last)


def within(name: str, value: ArrayLike, low: float, high: float) -> Floats:
    """A float array inside its range, of the shape it came in.

    Raises BadInput naming the argument, with a hint where latitude and longitude look swapped.
    """
    try:
        array: Floats = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        raise BadInput(f"{quoted(value)} is not a number", where=name) from None
    good = (array >= low) & (array <= high)  # false for nan
    if not good.all():
        first = float(array[~good].ravel()[0])
        swapped = name == "latitude_deg" and abs(first) <= 180.0
        raise BadInput(
            f"{first:g} is outside {low:g} to {high:g}",
            where=name,
            remedy="latitude and longitude may be swapped" if swapped else "",
        )
    return array
