"""What the sheet for a return visit holds: subjects, next good light, and the ways walked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

from backbearing.plans.dazzle import near_line, sun_ways
from backbearing.plans.drawnways import (
    SIMPLIFIED_TO_M,
    WALKS_WITHIN_M,
    DrawnLine,
    DrawnTrack,
    Line,
    WayPiece,
    drawn_lines,
    drawn_tracks,
    is_near,
    way_pieces,
)
from backbearing.plans.kept import kept
from backbearing.plans.pageday import with_outing
from backbearing.plans.pagesearches import searches_of
from backbearing.plans.soundness import leading
from backbearing.saying import say

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import datetime

    from backbearing.notebook import Notebook
    from backbearing.plans.chosen import ChosenYear
    from backbearing.plans.horizon import SkylineAnswer
    from backbearing.plans.light import LightAnswer
    from backbearing.plans.lightcalendar import LightCalendar
    from backbearing.plans.loosenotes import LooseNote
    from backbearing.plans.outing import OutingAnswer
    from backbearing.plans.photosof import PagePhoto
    from backbearing.plans.relief import GroundPicture
    from backbearing.plans.search import Likely
    from backbearing.plans.search.walkanswer import SearchWalkAnswer
    from backbearing.plans.tripod import Tripod
    from backbearing.records import (
        CameraPosition,
        LightWindow,
        Note,
        Passage,
        Place,
        Route,
        Subject,
        Waypoint,
    )

SOONEST, BEST = 4, 4  # windows of a subject on the sheet: the next ones, and the best ranked


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnSubject:
    """One subject with all that is known of it and its next good light, soonest first."""

    subject: Subject
    cameras: tuple[CameraPosition, ...] = ()
    notes: tuple[Note, ...] = ()
    windows: tuple[LightWindow, ...] = ()
    sun_near_line: tuple[bool, ...] = ()  # for each window: within 20° of the camera's line
    behind: tuple[str, ...] = ()  # for each window: what stands behind at its best minute, or ''
    declination_deg: float | None = None  # on the sheet's first day, east positive
    tall_error_m: float | None = None
    zone: str = "UTC"  # IANA name of the clock there
    looked_until: date | None = None  # None where no light was looked for: made or gone
    wanted: str = ""  # the light wanted, in words, and where the wish came from
    no_light: str = ""  # why there is no window under a clear sky
    photos: tuple[PagePhoto, ...] = ()  # latest first

    @property
    def hindered(self) -> bool:
        """Whether something stopped me here, or is to be done otherwise next time."""
        return bool(self.subject.blocked or self.subject.next_time)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnPage:
    """All that stands on the sheet; nothing in it depends on when it was made but the first two."""

    start: date
    earliest_at: datetime | None = None  # light before it is over; None: the whole first day counts
    subjects: tuple[ReturnSubject, ...] = ()  # hindered ones first
    tracks: tuple[DrawnTrack, ...] = ()
    waypoints: tuple[Waypoint, ...] = ()
    lines: tuple[DrawnLine, ...] = ()
    passages: tuple[Passage, ...] = ()
    routes: tuple[Route, ...] = ()
    loose_notes: tuple[LooseNote, ...] = ()  # of no subject; those with a place first
    assumptions: tuple[str, ...] = ()
    zone: str = "UTC"  # of the clock that dates the walks
    simplified_to_m: float = SIMPLIFIED_TO_M
    walks_within_m: float | None = None  # None: every walk on record
    ground: GroundPicture | None = None  # round the subject of the answer
    why_no_ground: str = ""
    tripod: Tripod | None = None  # seconds and plates, where a kit is on record
    outing: OutingAnswer | None = None  # to the leading window, where a start is set
    why_no_outing: str = ""
    calendar: LightCalendar | None = None  # of the subject of the answer, as the skyline
    skyline: SkylineAnswer | None = None
    searches: tuple[Likely, ...] = ()  # of subjects known from memory alone
    search_walks: tuple[SearchWalkAnswer, ...] = ()  # the next walk of some of them
    chosen: tuple[ChosenYear, ...] = ()  # to choose days and minutes of; the calendar's first

    @property
    def way_in(self) -> Line:
        """The way of the planned day, from its start to the camera position; () without one."""
        legs = self.outing.out if self.outing else ()
        return tuple(spot for one in legs for spot in one.leg.line)

    @property
    def way_pieces(self) -> tuple[WayPiece, ...]:
        """The way of the planned day by whether it lies on the tracks drawn here."""
        return way_pieces(self.way_in, self.tracks, self.simplified_to_m)

    @property
    def shade_zone(self) -> str:
        """The clock that names the moments whose shade is drawn."""
        lead = self.next_light
        return lead.zone if lead else self.zone

    @property
    def next_lit(self) -> ReturnSubject | None:
        """The subject of the window that leads."""
        lead = self.next_light
        return next((s for s in self.subjects if any(w is lead for w in s.windows)), None)

    @property
    def next_light(self) -> LightWindow | None:
        """The window that leads: the soonest of all subjects, a sound one before a doubtful one."""
        return leading(window for each in self.subjects for window in each.windows)


def gather_page(
    notebook: Notebook,
    names: Sequence[str],
    *,
    start: date,
    earliest_at: datetime | None = None,
    now: datetime | None = None,
    asked: Mapping[str, Any] | None = None,
    outing: OutingAnswer | None = None,
    search_walks: Sequence[tuple[SearchWalkAnswer, Likely]] = (),
    day_alone: bool = False,
    before_day: Callable[[], None] | None = None,
    progress: Callable[[str], None] | None = None,
) -> ReturnPage:
    """Gather what a return to these subjects needs; with no names, to all on record.

    start: the first day light is looked for, a local civil day at each subject. earliest_at: an
    aware instant before which none counts. now: nobody sets out before it; None: before the first
    day begins. asked: what `ask_outing` is asked of the planned day. outing: the planned day where
    it is known already. search_walks: with the shares they go by, which the page then shows.
    day_alone: leave out what the ways of the day do not ask for: for a process that has them found
    ahead. before_day: called when all but the day is gathered.
    progress: told in one line what is being done.
    Raises NotFound for a name that is not on record, and BadInput for what is asked amiss.
    """
    from backbearing.notebook.lines import list_passages
    from backbearing.notebook.subjects import find_subject, list_subjects
    from backbearing.notebook.tracks import list_routes, list_waypoints
    from backbearing.plans.tripod import tripod

    tell = progress or (lambda line: None)
    chosen = [find_subject(notebook, name) for name in names] if names else list_subjects(notebook)
    chosen = list({subject.id: subject for subject in chosen}.values())
    wanting = [s for s in chosen if names or s.state not in ("made", "gone")]
    answers = _light(notebook, [s.name for s in wanting], start, earliest_at, tell)
    subjects = _subjects(notebook, chosen, answers, start)
    if not day_alone:
        subjects = _with_behind(notebook, subjects, tell)
    tell("gathering walks, waypoints and routes")
    around = chosen or None
    tracks, tolerance_m, not_drawn = drawn_tracks(notebook, around)
    page = ReturnPage(
        start=start,
        earliest_at=earliest_at,
        subjects=tuple(sorted(subjects, key=lambda each: not each.hindered)),
        tracks=tracks,
        waypoints=tuple(p for p in list_waypoints(notebook) if is_near([p], around)),
        lines=drawn_lines(notebook, around),
        passages=tuple(p for p in list_passages(notebook) if is_near([p.place], around)),
        routes=tuple(r for r in list_routes(notebook) if is_near(r.points, around)),
        loose_notes=_loose_notes(notebook, names, around),
        assumptions=(
            *dict.fromkeys(a for one in answers.values() for a in one.assumptions),
            *not_drawn,
        ),
        zone=_zone_of_walks(notebook, subjects, tracks),
        simplified_to_m=tolerance_m,
        walks_within_m=WALKS_WITHIN_M if chosen else None,
    )
    asked = asked or {}
    searches, without = searches_of(notebook, chosen, search_walks, start, asked, now=now)
    page = replace(
        page,
        searches=searches,
        search_walks=tuple(walk for walk, _ in search_walks),
        assumptions=(*page.assumptions, *without),
    )
    if not day_alone:
        batch, mark = asked.get("batch"), asked.get("aperture")
        kit = tripod(notebook, page.subjects, tell, batch_name=batch, mark=mark)
        page = replace(page, tripod=kit)
        tell("drawing the ground")
        light = None
        if len(wanting) == 1:  # then it was asked over a year already
            light = partial(_kept_light, notebook, (wanting[0].name,), start, earliest_at, tell)
        page = _with_year(notebook, _with_ground(notebook, page), light, tell)
    if before_day is not None:
        before_day()
    if outing is not None:
        return replace(page, outing=outing)
    return with_outing(notebook, page, asked, now=now, tell=tell)


def _with_behind(
    notebook: Notebook, subjects: Sequence[ReturnSubject], tell: Callable[[str], None]
) -> list[ReturnSubject]:
    """The subjects with what stands behind each at the best minute of its windows of sun."""
    asked = [(each.subject, each.cameras, each.windows) for each in subjects]
    said = kept(notebook, "behind", asked, partial(_sentences, notebook, subjects, tell))
    return [replace(each, behind=one) for each, one in zip(subjects, said, strict=True)]


def _sentences(
    notebook: Notebook, subjects: Sequence[ReturnSubject], tell: Callable[[str], None]
) -> list[tuple[str, ...]]:
    from backbearing.errors import BadInput
    from backbearing.plans.shade import Backdrops

    backdrops = Backdrops(notebook)
    found = []
    for number, each in enumerate(subjects, start=1):
        tell(f"what stands behind: {number} of {len(subjects)}")
        try:
            said = backdrops.sentences(each.subject, each.cameras, each.windows)
        except BadInput:  # a projection that does not hold there
            said = ()
        found.append(said)
    return found


def _with_year(
    notebook: Notebook,
    page: ReturnPage,
    light: Callable[[], LightAnswer] | None,
    tell: Callable[[str], None],
) -> ReturnPage:
    """The page with a year's light and the skyline of the subject of its answer, and of others."""
    from backbearing.plans.chosen import chosen_years

    waiting = (each for each in page.subjects if each.looked_until is not None)
    each = page.next_lit or next(waiting, None)
    if each is None:
        return page
    years_of = partial(
        chosen_years,
        notebook,
        page.subjects,
        each,
        start=page.start,
        earliest_at=page.earliest_at,
        answered=light,
        progress=tell,
    )
    if page.earliest_at is None:
        asked = (page.subjects, each.subject.id, page.start)
        years = kept(notebook, "years", asked, years_of)
    else:  # of today, what is left from this minute on: not asked twice
        years = years_of()
    return replace(page, calendar=years[0].calendar, skyline=years[0].skyline, chosen=years)


def _with_ground(notebook: Notebook, page: ReturnPage) -> ReturnPage:
    """The page with its ground, and the shade in the window that leads, if that is of sun."""
    from backbearing.plans.homeground import every_spot, home_spots
    from backbearing.plans.relief import ground_picture

    clear = leading(w for each in page.subjects for w in each.windows if w.sky == "clear")
    lead = page.next_light
    ground, why_none = ground_picture(
        notebook,
        home_spots(page) or every_spot(page),
        window=lead if lead and lead.sky == "clear" else clear,
        day=page.start,
        zone=page.zone,
    )
    return replace(page, ground=ground, why_no_ground=why_none)


def _light(
    notebook: Notebook,
    names: Sequence[str],
    start: date,
    earliest_at: datetime | None,
    tell: Callable[[str], None],
) -> dict[str, LightAnswer]:
    """An answer for each name: several over a fortnight first, then a year where that was bare."""
    answers: dict[str, LightAnswer] = {}
    bare = tuple(names)
    for many in (True, False) if len(names) > 1 else (False,):
        if bare:
            answer = _kept_light(notebook, bare, start, earliest_at, tell, many=many)
            answers |= dict.fromkeys(bare, answer)
            found = {window.subject for window in answer.windows}
            bare = tuple(name for name in bare if name not in found)
    return answers


def _kept_light(
    notebook: Notebook,
    names: tuple[str, ...],
    start: date,
    earliest_at: datetime | None,
    tell: Callable[[str], None],
    *,
    many: bool = False,
) -> LightAnswer:
    """The light of some subjects, over a fortnight where they are many, else over a year."""
    from backbearing.plans.light import best_light
    from backbearing.plans.periods import read_period

    _, end = read_period(start.isoformat(), None, None, today=start, many=many)
    light = partial(
        best_light, notebook, names, start=start, end=end, earliest_at=earliest_at, progress=tell
    )
    if earliest_at is not None:  # of today, what is left from this minute on: not asked twice
        return light()
    return kept(notebook, "light", (names, start, end), light)


def _subjects(
    notebook: Notebook, chosen: Sequence[Subject], answers: dict[str, LightAnswer], start: date
) -> list[ReturnSubject]:
    from backbearing.notebook.subjects import list_camera_positions, list_notes
    from backbearing.plans.photosof import Album
    from backbearing.plans.settings import zone_at
    from backbearing.plans.subjects import tall_error_m

    album = Album(notebook)
    cameras, notes = list_camera_positions(notebook), list_notes(notebook)
    found = []
    for subject in chosen:
        own = tuple(camera for camera in cameras if camera.subject_id == subject.id)
        zone = zone_at(notebook, subject.place)
        bare = ReturnSubject(
            subject=subject,
            cameras=own,
            notes=tuple(note for note in notes if note.subject_id == subject.id),
            photos=album.of(subject.id, subject.place, zone),
            zone=zone,
            declination_deg=_declination_deg(subject.place, start),
            tall_error_m=tall_error_m(subject, own),
        )
        found.append(_with_light(bare, answers.get(subject.name)))
    return found


def _with_light(each: ReturnSubject, answer: LightAnswer | None) -> ReturnSubject:
    if answer is None:
        return each
    name = each.subject.name
    ranked = [window for window in answer.windows if window.subject == name]
    by_time = sorted(ranked, key=lambda window: window.start)
    lead = leading(window for window in ranked if window.sky == "clear")
    chosen = [*by_time[:SOONEST], *ranked[:BEST], *([lead] if lead else [])]
    kept = sorted({id(w): w for w in chosen}.values(), key=lambda w: w.start)
    ways = sun_ways(each.subject, kept)
    return replace(
        each,
        windows=tuple(kept),
        sun_near_line=tuple(
            near_line(each.subject, each.cameras, window, way)
            for window, way in zip(kept, ways, strict=True)
        ),
        looked_until=answer.end,
        wanted="; ".join(
            f"from {w.camera_position}: {w.words} ({say(w.basis)})"
            if w.camera_position
            else f"{w.words} ({say(w.basis)})"
            for w in answer.wishes
            if w.subject == name
        ),
        no_light=next((u.sentence for u in answer.unmatched if u.subject == name), ""),
    )


def _zone_of_walks(
    notebook: Notebook, subjects: Sequence[ReturnSubject], tracks: Sequence[DrawnTrack]
) -> str:
    """The clock that dates the walks: the first subject's, else that where the first walk began."""
    from backbearing.notebook.settings import get_setting
    from backbearing.places.zones import zone_name

    if subjects:
        return subjects[0].zone
    first = next((line[0] for each in tracks for line in each.lines), (0.0, 0.0))
    return zone_name(*first, get_setting(notebook, "zone")) if tracks else "UTC"


def _declination_deg(place: Place, on: date) -> float | None:
    """Magnetic declination there, None where no model or no compass holds."""
    from backbearing.errors import BadInput
    from backbearing.places.bearings import declination_deg

    try:
        value, _ = declination_deg(place.latitude_deg, place.longitude_deg, place.height_m, on)
    except BadInput:
        return None
    return round(value, 2)


def _loose_notes(
    notebook: Notebook, names: Sequence[str], around: Sequence[Subject] | None
) -> tuple[LooseNote, ...]:
    """Notes of no subject: those written near by, and where all is asked for the unplaced too."""
    from backbearing.plans.loosenotes import loose_notes

    every = loose_notes(notebook)
    placed = [each for each in every if each.place is not None and is_near([each.place], around)]
    unplaced = [each for each in every if each.place is None and not names]
    return (*placed, *unplaced)
