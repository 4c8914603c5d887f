"""What is known of a job, as plain values. A fact that exists is valid.

This file is the glossary: the database, the API and the pages use the same words.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from math import isfinite

from crewjobs.domain.clearances import Clearances
from crewjobs.domain.limits import USUAL, Limits
from crewjobs.domain.questions import USUAL as USUAL_QUESTIONS
from crewjobs.domain.questions import Answer, Questions

Point = tuple[float, float]
"""x and y in millimetres."""


class Stage(StrEnum):
    """How far a job has come. Held and cancelled stand beside these, not among them."""

    BOOKED = "booked"
    TEMPLATED = "templated"
    IN_FABRICATION = "in fabrication"
    READY = "ready"
    PLANNED = "planned"
    ON_SITE = "on site"
    INSTALLED = "installed"
    SIGNED_OFF = "signed off"

    @property
    def rank(self) -> int:
        """The stage's place in the order, 0 for booked."""
        return list(Stage).index(self)

    @property
    def following(self) -> "Stage | None":
        """The stage that comes next, None after the last."""
        return next(iter(list(Stage)[self.rank + 1 :]), None)


class PieceKind(StrEnum):
    """What a piece is in the kitchen."""

    TOP = "top"
    ISLAND = "island"
    BACKSPLASH = "backsplash"
    WATERFALL = "waterfall"


class CutoutKind(StrEnum):
    """What goes into a hole in the stone."""

    UNDERMOUNT_SINK = "undermount sink"
    DROP_IN_SINK = "drop-in sink"
    COOKTOP = "cooktop"
    TAP_HOLE = "tap hole"
    ACCESSORY_HOLE = "accessory hole"


class SeamMethod(StrEnum):
    """How the adhesive of a seam is brought in."""

    KNIFE_GRADE = "knife grade"
    FLOW_GRADE = "flow grade"


class SupportKind(StrEnum):
    """What carries stone where no cabinet does."""

    BRACKET = "bracket"
    RAIL = "rail"
    CORBEL = "corbel"
    PANEL = "panel"


class RouteKind(StrEnum):
    """One element of the way in, from the truck to the cabinets."""

    PATH = "path"
    DOOR = "door"
    HALL = "hall"
    TURN = "turn"
    STAIRS = "stairs"
    LANDING = "landing"
    LIFT = "lift"


class VisitKind(StrEnum):
    """Why a crew comes."""

    TEMPLATE = "template"
    INSTALL = "install"
    RETURN = "return"


class ReportKind(StrEnum):
    """What the crew says from the site."""

    ON_THE_WAY = "on the way"
    ARRIVED = "arrived"
    WALK_THROUGH_DONE = "walk-through done"
    NO_GO = "no go"
    PIECE_SET = "piece set"
    SEAM_POURED = "seam poured"
    SEAM_HARD = "seam hard"
    SINK_SET = "sink set"
    SILICONE_DONE = "silicone done"
    CLEANED = "cleaned"
    REVIEWED = "reviewed"
    LEFT = "left"
    PROBLEM = "problem"
    PHOTO = "photo"


class HoldReason(StrEnum):
    """Why a job waits."""

    PAYMENT_DUE = "payment due"
    SITE_NOT_READY = "site not ready"
    BUILDING_BOOKING_MISSING = "building booking missing"
    INSURANCE_PAPER_MISSING = "insurance paper missing"
    REMAKE = "remake"
    OTHER = "other"


class Trade(StrEnum):
    """Work that is left to a licensed trade."""

    WATER = "water"
    GAS = "gas"
    ELECTRICITY = "electricity"


class RuleSet(StrEnum):
    """Whose rules count where publishers disagree."""

    STRICTER = "the stricter"
    STONE = "stone manual"
    WOODWORK = "woodwork standard"


class DustRules(StrEnum):
    """Whose dust rules count; the record keeps which."""

    US = "US"
    UK = "UK"


def at_least(name: str, value: float, limit: float) -> None:
    """Refuse a value that is not a number or lies below its limit.

    Raises
    ------
    ValueError
        Naming the field, the value and the limit.
    """
    if not isfinite(value) or value < limit:
        raise ValueError(f"{name} is {value:g}, the least is {limit:g}")


def more_than_zero(name: str, value: float) -> None:
    """Refuse a value that is not above zero.

    Raises
    ------
    ValueError
        Naming the field and the value.
    """
    if not isfinite(value) or value <= 0:
        raise ValueError(f"{name} is {value:g}, it must be more than 0")


def optional(fact: object, *names: str) -> None:
    """Refuse what was measured and lies below zero; None was not measured.

    Raises
    ------
    ValueError
        Naming the field and the value.
    """
    for name in names:
        value = getattr(fact, name)
        if value is not None:
            at_least(name, value, 0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Cutout:
    """A hole: its middle in the piece's own coordinates, its size, where it is made."""

    kind: CutoutKind
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    corner_radius_mm: float = 0.0
    is_made_on_site: bool = False
    is_set_in_shop: bool = False
    """A sink that comes already bonded beneath its piece."""
    front_rail_mm: float | None = None
    """The stone left between the hole and the front edge, where it was measured."""
    back_rail_mm: float | None = None
    is_supported: bool | None = None
    """Whether what goes into it is carried by the cabinet, not by the stone; None: not known."""
    cabinet_mm: float | None = None
    """Inside width of the cabinet below."""

    def __post_init__(self) -> None:
        optional(self, "front_rail_mm", "back_rail_mm", "cabinet_mm")
        more_than_zero("width_mm", self.width_mm)
        more_than_zero("height_mm", self.height_mm)
        at_least("corner_radius_mm", self.corner_radius_mm, 0)
        if 2 * self.corner_radius_mm > min(self.width_mm, self.height_mm) + 1e-9:
            raise ValueError(
                f"corner_radius_mm is {self.corner_radius_mm:g}, the most is half the shorter side"
            )


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """One piece of stone, lying flat: x along its length, y along its depth."""

    name: str
    outline_mm: tuple[Point, ...]
    thickness_mm: float
    density_kg_m3: float = 2400.0
    kind: PieceKind = PieceKind.TOP
    cutouts: tuple[Cutout, ...] = ()
    finished_edge_mm: float = 0.0
    needs_field_cut: bool = False
    overhang_mm: float | None = None
    """How far it reaches beyond its supports, at most; None: not measured."""
    span_mm: float | None = None
    """The widest opening that it bridges."""
    dishwasher_hole_mm: float | None = None
    """Depth of holes drilled into its underside for a dishwasher."""
    layout_x_mm: float | None = None
    """Where the origin of its outline lies in the layout of the whole job; None: not known."""
    layout_y_mm: float | None = None
    layout_turn_deg: float = 0.0
    """How far it is turned there, anticlockwise."""

    def __post_init__(self) -> None:
        optional(self, "overhang_mm", "span_mm", "dishwasher_hole_mm")
        if (self.layout_x_mm is None) != (self.layout_y_mm is None):
            raise ValueError("layout_x_mm and layout_y_mm are known together or not at all")
        if len(self.outline_mm) < 3:
            raise ValueError(f"outline_mm has {len(self.outline_mm)} corners, the least is 3")
        more_than_zero("thickness_mm", self.thickness_mm)
        more_than_zero("density_kg_m3", self.density_kg_m3)
        at_least("finished_edge_mm", self.finished_edge_mm, 0)

    @property
    def length_mm(self) -> float:
        """The extent along x."""
        xs = [x for x, _ in self.outline_mm]
        return max(xs) - min(xs)

    @property
    def depth_mm(self) -> float:
        """The extent along y."""
        ys = [y for _, y in self.outline_mm]
        return max(ys) - min(ys)


@dataclass(frozen=True, kw_only=True, slots=True)
class Seam:
    """Where two pieces of one job meet and are bonded."""

    name: str
    first: str
    second: str
    length_mm: float
    method: SeamMethod = SeamMethod.KNIFE_GRADE
    adhesive: str = ""
    """Product and colour, as it is loaded."""
    is_over_dishwasher: bool | None = None
    to_sink_mm: float | None = None
    """To the nearest sink cutout."""
    gap_mm: float | None = None
    """Its width, once it is made."""
    edge_lippage_mm: float | None = None
    """How far one side stands above the other, at the front or rear edge."""
    lippage_mm: float | None = None
    """The same at mid-depth."""

    def __post_init__(self) -> None:
        optional(self, "to_sink_mm", "gap_mm", "edge_lippage_mm", "lippage_mm")
        more_than_zero("length_mm", self.length_mm)
        if self.first == self.second:
            raise ValueError(f"seam {self.name} joins piece {self.first} to itself")


@dataclass(frozen=True, kw_only=True, slots=True)
class Support:
    """Something that carries a piece and, unless already there, is fitted by the crew."""

    piece: str
    kind: SupportKind
    is_in_place: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class RouteElement:
    """One element of the way in. Nothing measured is None, not 0.

    A door or hall has a clear `width_mm` and `height_mm`; a door with `turn_deg` opens sideways
    from a hall and asks for `hall_mm`, `length_mm` (the straight hall before it) and the room. A
    turn leads from a hall of `width_mm` into one of `depth_mm`; a landing of 90 degrees from a
    flight of `width_mm` to one of `depth_mm`, one of 180 is `depth_mm` deep. A lift has its cab's
    sizes.
    """

    kind: RouteKind
    name: str = ""
    width_mm: float | None = None
    height_mm: float | None = None
    """Clear height: of the opening, under the ceiling, over a landing or the foot of stairs."""
    length_mm: float | None = None
    depth_mm: float | None = None
    turn_deg: float | None = None
    steps: int = 0
    hall_mm: float | None = None
    """Width of the hall that a side door opens from."""
    wall_mm: float | None = None
    """Thickness of the wall around a side door."""
    room_mm: float | None = None
    """Free depth of the room straight ahead of a side door."""
    free_wall_mm: float | None = None
    """Free wall in the room, beyond the far jamb of a side door."""
    door_mm: float | None = None
    """Clear width of a lift's door."""
    door_height_mm: float | None = None
    """Clear height of a lift's door."""
    return_mm: float | None = None
    """The narrower front wall beside a lift's door."""
    headroom_mm: float | None = None
    """Upright over the nosing line of stairs."""
    pitch_deg: float | None = None
    """Pitch of stairs, or of the flights at a landing."""
    gap_mm: float | None = None
    """Well between the two flights of a half landing."""

    def __post_init__(self) -> None:
        for name in self.sizes():
            value = getattr(self, name)
            if value is not None:
                more_than_zero(name, value)
        if self.pitch_deg is not None and self.pitch_deg >= 90:
            raise ValueError(f"pitch_deg is {self.pitch_deg:g}, it must be less than 90")
        at_least("steps", self.steps, 0)

    @classmethod
    def sizes(cls) -> tuple[str, ...]:
        """The names of everything that can be measured."""
        return tuple(name for name in cls.__slots__ if name.endswith(("_mm", "_deg")))


@dataclass(frozen=True, kw_only=True, slots=True)
class Work:
    """The stone of one visit and what the site asks of the crew."""

    pieces: tuple[Piece, ...] = ()
    seams: tuple[Seam, ...] = ()
    supports: tuple[Support, ...] = ()
    route: tuple[RouteElement, ...] = ()
    tear_out_mm: float = 0.0
    """Length of old tops to be taken out."""
    cabinet_run_mm: float = 0.0
    """Length of cabinets to be checked and shimmed level."""
    temperature_deg_c: float = 20.0
    has_dishwasher: bool = False
    """One stands in the run and is fastened to the stone."""
    off_level_mm: float | None = None
    """How far the cabinets are out of level over their run; None: not measured."""

    def __post_init__(self) -> None:
        optional(self, "off_level_mm")
        at_least("tear_out_mm", self.tear_out_mm, 0)
        at_least("cabinet_run_mm", self.cabinet_run_mm, 0)
        at_least("temperature_deg_c", self.temperature_deg_c, -30)
        names = [piece.name for piece in self.pieces]
        if len(set(names)) < len(names):
            raise ValueError("two pieces have the same name")
        used = {name for seam in self.seams for name in (seam.first, seam.second)}
        used |= {support.piece for support in self.supports}
        if unknown := sorted(used - set(names)):
            raise ValueError(f"there is no piece {unknown[0]}")

    @property
    def walk_mm(self) -> float:
        """The level walk from the truck to the cabinets, one way."""
        return sum(e.length_mm or 0.0 for e in self.route if e.kind is not RouteKind.LIFT)

    @property
    def flights(self) -> int:
        """How many flights of stairs."""
        return sum(e.kind is RouteKind.STAIRS for e in self.route)

    @property
    def turns(self) -> int:
        """How many turns, landings among them."""
        return sum(e.kind in (RouteKind.TURN, RouteKind.LANDING) for e in self.route)

    @property
    def has_lift(self) -> bool:
        """Whether the pieces go up in a lift."""
        return any(e.kind is RouteKind.LIFT for e in self.route)


@dataclass(frozen=True, kw_only=True, slots=True)
class Team:
    """The people who come."""

    hands: int = 2
    name: str = ""

    def __post_init__(self) -> None:
        at_least("hands", self.hands, 1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Report:
    """One status report. `client_id` is made on the phone; the same id is the same report."""

    client_id: str
    kind: ReportKind
    happened_at: datetime
    about: str = ""
    """The piece or seam that it speaks of."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Record:
    """What has happened to a job so far, as far as its stages ask."""

    stage: Stage = Stage.BOOKED
    is_cancelled: bool = False
    holds: tuple[HoldReason, ...] = ()
    is_templated: bool = False
    """A template visit has been reported done, or the sizes were taken over otherwise."""
    inspected: frozenset[str] = frozenset()
    """Pieces whose newest inspection passed."""
    rejected: frozenset[str] = frozenset()
    """Pieces whose newest inspection failed."""
    remakes: frozenset[str] = frozenset()
    """Pieces that are being made again."""
    has_published_install: bool = False
    reports: tuple[Report, ...] = ()
    """Of install and return visits; of a piece made again, only its new setting."""
    open_items: tuple[str, ...] = ()
    accepted_items: frozenset[str] = frozenset()
    """Open items that the customer accepts in writing."""
    is_signed: bool = False
    trades_left: tuple[Trade, ...] = ()
    balance_cents: int = 0
    answers: tuple[Answer, ...] = ()
    """To every form; of a piece made again, only those since."""
    visits: frozenset[VisitKind] = frozenset()
    """Kinds of visits that are booked or were made."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """One site's stone tops: the work and what has happened to it."""

    number: str = ""
    work: Work = field(default_factory=Work)
    record: Record = field(default_factory=Record)
    team: Team = field(default_factory=Team)
    """The crew of the planned install visit, or the shop's usual one."""
    carrier_kg: float = 45.0
    """What the shop lets one person carry."""
    limits: Limits = USUAL
    """What counts in the shop where no publisher fixes a value."""
    searched: Mapping[str, float] = field(default_factory=dict)
    """How long a strip goes in where a search found it, by what was searched."""
    rule_set: RuleSet = RuleSet.STRICTER
    dust_rules: DustRules | None = None
    """None: nobody chose, and both sets are shown."""
    questions: Questions = field(default_factory=lambda: USUAL_QUESTIONS)
    """As this shop asks them."""

    @property
    def clearances(self) -> Clearances:
        """What the shop keeps free around a carried piece."""
        return Clearances.by(self.limits)
