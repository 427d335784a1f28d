"""The form of the herd workbook: its sheets, their headings, and what a cell under each may hold.

One table serves reading and writing; `also` and the words of a choice are what people write instead.
"""

from __future__ import annotations

import dataclasses
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from herdscore.domain import records
from herdscore.domain.rule_forms import SheetLimits

TAG, TEXT, DATE, PAST, WHOLE, NUMBER, QUARTERS, YES, CHOICE, EID = (
    "tag",
    "text",
    "date",
    "past date",
    "whole number",
    "number",
    "quarters",
    "yes or no",
    "choice",
    "EID",
)


Span = Callable[[SheetLimits], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Heading:
    """One column: the field it fills, its heading and unit, and the lowest and highest number of its cells."""

    field: str
    name: str
    kind: str = TEXT
    unit: str = ""
    required: bool = False
    also: tuple[str, ...] = ()
    span: Span | None = None
    words: Mapping[str, tuple[str, ...]] = dataclasses.field(default_factory=dict)
    when_wrong: str = "left empty"

    @property
    def written(self) -> str:
        """The heading as written, unit in brackets."""
        return f"{self.name} ({self.unit})" if self.unit else self.name


@dataclass(frozen=True, slots=True)
class SheetForm:
    """One sheet: its name, the table of the herd it fills, and its headings in order."""

    name: str
    table: str
    headings: tuple[Heading, ...]


_NOTE = Heading("note", "Note", also=("notes", "remark", "remarks", "comment", "comments"))
_TAG = Heading(
    "tag",
    "Tag",
    TAG,
    required=True,
    also=("tag no", "tag number", "ear tag", "ear tag no", "animal", "animal id", "cow", "cow id", "cow tag", "id"),
)


def _day(kind: str = DATE, name: str = "Date", also: tuple[str, ...] = ("day",)) -> Heading:
    return Heading("day", name, kind, required=True, also=also)


def _weight(limits: SheetLimits) -> tuple[float, float]:
    return limits.weight_lowest, limits.weight_highest


def _not_negative(limits: SheetLimits) -> tuple[float, float]:
    return 0, math.inf


def _same(*words: str) -> dict[str, tuple[str, ...]]:
    return {word: () for word in words}


_SEASONS = {
    records.AUTUMN: ("aut", "autumn calver", "autumn calving"),
    records.SPRING: ("spr", "spring calver", "spring calving"),
}
_DATE_FROM = {
    records.SERVICE: ("served", "AI", "service date"),
    records.SCAN: ("scanned", "scanning"),
    records.BULL_RUN: ("bull", "bull dates"),
    records.TOLD: (),
    records.BY_HAND: ("by hand", "hand"),
}
_STATUSES = {
    records.IN_HERD: ("alive", "active", "present", "here", "in"),
    records.NOT_IN_CALF: ("empty", "barren"),
    records.SOLD: ("sale",),
    records.CULLED: ("cull", "slaughtered"),
    records.DEAD: ("died",),
}
_SERVICE_KINDS = {
    records.AI: ("insemination", "artificial insemination", "inseminated"),
    records.SERVICE: ("served", "natural service", "natural", "bulling"),
    records.BULL_RUN: ("bull", "ran with bull", "run with bull", "with bull"),
    records.SCAN: ("scanned", "scanning", "ultrasound", "PD", "pregnancy scan"),
    records.HAND_CHECK: ("hand", "by hand", "palpation"),
}
_RESULTS = {
    records.IN_CALF: ("pregnant", "positive", "single", "yes"),
    records.EMPTY: ("not in calf", "barren", "negative", "no", "not pregnant"),
    records.TWINS: ("twin", "multiple", "double"),
}
_DIETS = {
    records.WINTER_FEED: ("winter", "housed", "silage"),
    records.GRASS: ("grazing", "pasture", "grazed"),
    records.TO_HOLD: ("hold", "maintenance"),
    records.AFTER_CALVING: ("calved",),
    records.UNKNOWN_DIET: ("not known",),
}
_AIMS = {records.UP: ("gain", "ease up"), records.DOWN: ("lose", "ease down", "slim")}
_EVENTS = {
    records.HOUSING: ("housed",),
    records.TURNOUT: ("turned out",),
    records.WEANING: ("weaned",),
    records.BULL_IN: ("bulls in",),
    records.BULL_OUT: ("bulls out",),
}
_FEED_KINDS = {kind: (f"{kind}s",) for kind in records.FEED_KINDS}


def _site(field_name: str, *also: str) -> Heading:
    return Heading(field_name, field_name.capitalize(), QUARTERS, also=also, when_wrong="site left empty")


_COWS = (
    _TAG,
    Heading("management_no", "Management no", also=("management number", "management tag", "short number", "yard no")),
    Heading("eid", "EID", EID, also=("eid no", "electronic id", "transponder", "electronic tag")),
    Heading("name", "Name", also=("cow name",)),
    Heading("breed", "Breed", also=("cow breed",)),
    Heading("born", "Born", PAST, also=("date of birth", "dob", "birth date", "born on")),
    Heading(
        "calvings",
        "Calvings",
        WHOLE,
        also=("parity", "calvings so far", "number of calvings"),
        span=lambda limits: (0, limits.calvings_highest),
    ),
    Heading("season", "Season", CHOICE, also=("block", "calving season"), words=_SEASONS),
    Heading("group", "Group", also=("feeding group", "pen", "field")),
    Heading(
        "calving_date",
        "Calving date",
        DATE,
        also=("due", "due date", "expected calving", "expected calving date", "calving due", "projected calving date"),
        when_wrong="date left empty",
    ),
    Heading("date_from", "Date from", CHOICE, also=("date source", "calving date from"), words=_DATE_FROM),
    Heading("twins", "Twins", YES, also=("twin", "carrying twins")),
    Heading("vet_plan", "Vet's plan", YES, also=("vet plan", "vets plan")),
    Heading("weight", "Weight", NUMBER, "kg", also=("live weight", "last weight"), span=_weight),
    Heading("weighed_on", "Weighed on", PAST, also=("weighed", "weigh date", "date weighed", "weight date")),
    Heading("status", "Status", CHOICE, words=_STATUSES, when_wrong="read as in herd"),
    _NOTE,
)
_SCORES = (
    _TAG,
    _day(PAST, also=("day", "scored on", "date scored", "score date")),
    _site("loin"),
    _site("ribs", "rib"),
    _site("tailhead", "tail"),
    Heading(
        "score",
        "Score",
        QUARTERS,
        also=("bcs", "condition", "condition score", "body condition score", "overall score", "overall"),
    ),
    Heading("by_eye", "By eye", YES, also=("eye", "seen")),
    Heading("scorer", "Scored by", also=("scorer", "assessor", "by")),
    _NOTE,
)
_SERVICES = (
    _TAG,
    Heading("kind", "Kind", CHOICE, required=True, also=("type", "service type"), words=_SERVICE_KINDS),
    _day(also=("day", "from", "service date", "first day")),
    Heading("until", "Until", DATE, also=("to", "last day", "end"), when_wrong="last day left empty"),
    Heading("sire_breed", "Sire breed", also=("bull breed", "breed of sire", "breed of bull")),
    Heading("sire", "Sire", also=("bull",)),
    Heading(
        "foetal_age",
        "Foetal age",
        WHOLE,
        "days",
        also=("fetal age", "age of foetus"),
        span=lambda limits: (1, limits.foetal_age_highest),
    ),
    Heading("result", "Result", CHOICE, words=_RESULTS),
)
_CALVINGS = (
    _TAG,
    _day(PAST, also=("day", "calved", "calved on", "calving date")),
    Heading(
        "ease",
        "Ease",
        WHOLE,
        also=("calving ease", "ease of calving"),
        span=lambda limits: (1, 5),
        when_wrong="ease left empty, as unseen",
    ),
    Heading("calf_sex", "Calf sex", also=("sex", "sex of calf")),
    Heading(
        "calf_weight",
        "Calf weight",
        NUMBER,
        "kg",
        also=("birth weight",),
        span=lambda limits: (limits.calf_weight_lowest, limits.calf_weight_highest),
    ),
    Heading("calf_alive", "Calf alive", YES, also=("alive", "live", "born alive")),
    Heading("calf_tag", "Calf tag", also=("calf", "calf id")),
    Heading("size", "Size", also=("calf size",)),
    Heading("presentation", "Presentation"),
    Heading("premature", "Premature", YES, also=("early",)),
    _NOTE,
)
_WEIGHTS = (
    _TAG,
    _day(PAST, also=("day", "weighed on", "date weighed", "weigh date")),
    Heading("weight", "Weight", NUMBER, "kg", required=True, also=("live weight",), span=_weight),
)
_DIET_ROWS = (
    Heading("group", "Group", required=True, also=("feeding group", "pen", "field")),
    _day(DATE, "From", ("date", "day", "first day", "start")),
    Heading("kind", "Kind", CHOICE, required=True, also=("diet", "type"), words=_DIETS),
    Heading("aim", "Aim", CHOICE, words=_AIMS),
    Heading(
        "expected_change",
        "Expected change",
        NUMBER,
        "score a week",
        span=lambda limits: (-limits.weekly_change_most, limits.weekly_change_most),
    ),
    Heading("plan_note", "Plan", also=("from plan",)),
)
_RATIONS = (
    Heading("group", "Group", required=True, also=("feeding group", "pen", "field")),
    _day(DATE, "From", ("date", "day", "first day", "start")),
    Heading("feed", "Feed", required=True, also=("name",)),
    Heading(
        "kg_fresh",
        "Fed",
        NUMBER,
        "kg fresh a head a day",
        required=True,
        also=("kg", "amount", "kg fresh"),
        span=lambda limits: (0, limits.ration_highest),
    ),
)
_MOVES = (
    _TAG,
    _day(also=("day", "moved", "moved on")),
    Heading("group", "Group", required=True, also=("to", "to group", "pen", "field")),
)
_CALENDAR = (
    Heading("block", "Block", CHOICE, required=True, also=("season",), words=_SEASONS),
    Heading("event", "Event", CHOICE, required=True, words=_EVENTS),
    _day(),
)
_SETTINGS = (
    Heading("id", "Setting", required=True, also=("name",)),
    Heading("value", "Value", required=True),
)
_FEEDS = (
    Heading("feed", "Feed", required=True, also=("name",)),
    Heading(
        "dm",
        "DM",
        NUMBER,
        "%",
        required=True,
        also=("dry matter",),
        span=lambda limits: (limits.dry_matter_lowest, 100),
    ),
    Heading(
        "me",
        "ME",
        NUMBER,
        "MJ/kg DM",
        required=True,
        also=("energy", "metabolisable energy"),
        span=lambda limits: (0, limits.energy_highest),
    ),
    Heading(
        "cp",
        "CP",
        NUMBER,
        "% DM",
        also=("crude protein", "protein"),
        span=lambda limits: (0, limits.protein_highest),
    ),
    Heading("kind", "Kind", CHOICE, required=True, also=("type",), words=_FEED_KINDS),
    Heading("price", "Price", NUMBER, "per t fresh", also=("cost",), span=_not_negative),
    Heading("stock", "In stock", NUMBER, "t fresh", also=("stock",), span=_not_negative),
    Heading("cu", "Cu", NUMBER, "mg/kg DM", also=("copper",), span=_not_negative),
    Heading("se", "Se", NUMBER, "mg/kg DM", also=("selenium",), span=_not_negative),
    Heading("i", "I", NUMBER, "mg/kg DM", also=("iodine",), span=_not_negative),
    Heading("mg", "Mg", NUMBER, "g/kg DM", also=("magnesium",), span=_not_negative),
    Heading("dose", "Dose", NUMBER, "g/head/day", span=_not_negative),
)

SHEETS = (
    SheetForm("Cows", "cows", _COWS),
    SheetForm("Scores", "scores", _SCORES),
    SheetForm("Services", "services", _SERVICES),
    SheetForm("Calvings", "calvings", _CALVINGS),
    SheetForm("Weights", "weights", _WEIGHTS),
    SheetForm("Diets", "diets", _DIET_ROWS),
    SheetForm("Moves", "moves", _MOVES),
    SheetForm("Calendar", "calendar", _CALENDAR),
    SheetForm("Settings", "settings", _SETTINGS),
    SheetForm("Feeds", "feeds", _FEEDS),
    SheetForm("Rations", "rations", _RATIONS),
)
OWN_SETTINGS = ("Own day", "Herd name", "Reference scorer")


def plain_word(text: str) -> str:
    """A heading, sheet name or choice without case, blanks, underscores, marks and unit in brackets."""
    without_unit = re.sub(r"\(.*?\)|\[.*?\]", "", text)
    return "".join(letter for letter in without_unit.casefold() if letter.isalnum())


def unit_of(text: str) -> str:
    """The unit in brackets of a heading, empty if there is none."""
    found = re.search(r"\((.*?)\)|\[(.*?)\]", text)
    return (found.group(1) or found.group(2) or "").strip() if found else ""
