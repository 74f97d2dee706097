"""Meter → seconds for a batch: what is taken to the tripod."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from backbearing.models.exposure import exposure_s, step_s
from backbearing.plans.expose.seconds import setup

if TYPE_CHECKING:
    from backbearing.notebook import Notebook
    from backbearing.plans.expose.seconds import Seconds
    from backbearing.records import ApertureMark, Batch

_EVS = tuple(range(16, -1, -1))
_METER_DOUBT_STOPS = 1.0 / 3.0
_USUAL = ("5.6", "8", "11", "16", "22", "32")


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterRow:
    """One EV at ISO 100, and the seconds at each aperture."""

    ev100: int
    iso100_f16_s: float
    seconds: tuple[Seconds | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TripodTables:
    """Seconds of a batch by meter reading and aperture."""

    batch: Batch
    lens: str
    apertures: tuple[ApertureMark, ...]
    rows: tuple[MeterRow, ...]
    assumptions: tuple[str, ...]


def tripod_tables(
    notebook: Notebook, *, batch_name: str | None, lens_name: str | None = None
) -> TripodTables:
    """Final seconds for a batch, reciprocity in, for each EV and aperture.

    The lens's own marks where one is named. Raises NotFound for an unknown or missing batch.
    """
    from backbearing.notebook.kit import find_lens
    from backbearing.places.apertures import f_number
    from backbearing.plans.expose.choosing import batch_to_use

    batch = batch_to_use(notebook, batch_name, needed=True)
    assert batch is not None  # noqa: S101 - `needed` has raised
    lens = find_lens(notebook, lens_name) if lens_name else None
    marks = (lens.apertures if lens else ()) or tuple(f_number(text, None) for text in _USUAL)
    ways = [setup(batch, mark.f_number) for mark in marks]
    return TripodTables(
        batch=batch,
        lens=lens.name if lens else "",
        apertures=marks,
        rows=tuple(
            MeterRow(
                ev100=ev,
                iso100_f16_s=step_s(exposure_s(float(ev), 16.0, 100.0)),
                seconds=tuple(way.seconds(float(ev), 0.0, _METER_DOUBT_STOPS) for way in ways),
            )
            for ev in _EVS
        ),
        assumptions=(
            "incident readings at ISO 100; off snow, reflected, give 2 stops more",
            "the colour of the light is that of the batch's trial; no filter, no bellows",
            "reciprocity by the batch's table"
            if batch.reciprocity_table
            else f"reciprocity by p {batch.reciprocity_p:g} over 1 s"
            if batch.reciprocity_p is not None
            else "no reciprocity on record for this batch: long times are too short",
        ),
    )
