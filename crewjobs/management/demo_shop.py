"""An invented shop in an invented place: its yards, trucks, people, streets and kitchens.

Nothing here is anybody's. Names, streets and kitchens are drawn by the generator that is handed
in, so that the same seed makes the same shop.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from random import Random

from crewjobs.actions.crews import DepotEntry, ShiftEntry, TruckEntry
from crewjobs.actions.orders import CustomerEntry, Finish, SiteEntry
from crewjobs.actions.people import PersonEntry
from crewjobs.actions.shops import ShopEntry
from crewjobs.domain.facts import (
    Cutout,
    CutoutKind,
    Piece,
    PieceKind,
    RouteElement,
    RouteKind,
    Seam,
    SeamMethod,
    Support,
    SupportKind,
    Work,
)
from crewjobs.models import Depot, Role

ZONE = "America/Chicago"
PASSWORD = "granite and quartz"  # noqa: S105 (the demo's, printed at every start)
MAIL = "alderbay.example"
SHOP = ShopEntry(name="Alder Bay Stone", time_zone=ZONE, reply_to=f"office@{MAIL}")

DEPOTS = {
    "North yard": DepotEntry(
        name="North yard", street="1 Quarry Road", town="Alder Bay", region="North Shore",
        postal_code="40117", lat=44.95, lon=-91.90, time_zone=ZONE,
    ),
    "South yard": DepotEntry(
        name="South yard", street="220 Mill Lane", town="Pine Hollow", region="North Shore",
        postal_code="40152", lat=44.86, lon=-91.78, time_zone=ZONE,
    ),
}  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class CrewEntry:
    """A crew, its yard and truck, and how long its Fridays are."""

    name: str
    depot: str
    payload_kg: float
    frame_length_mm: float
    friday_ends_at: dt.time

    def truck(self, depot: Depot) -> TruckEntry:
        """Its truck, with an A-frame for tops that stand on their long edge."""
        return TruckEntry(
            name=f"Truck of {self.name}",
            depot=depot,
            payload_kg=self.payload_kg,
            frame_length_mm=self.frame_length_mm,
            frame_height_mm=1600,
            frame_thickness_mm=350,
        )

    def shifts(self) -> list[ShiftEntry]:
        """Monday to Friday from half past seven."""
        ends_at = [dt.time(16, 30)] * 4 + [self.friday_ends_at]
        return [
            ShiftEntry(weekday=weekday, starts_at=dt.time(7, 30), ends_at=end)
            for weekday, end in enumerate(ends_at)
        ]


CREWS = (
    CrewEntry(
        name="Crew Ash", depot="North yard", payload_kg=1800, frame_length_mm=3200,
        friday_ends_at=dt.time(16, 30),
    ),
    CrewEntry(
        name="Crew Birch", depot="South yard", payload_kg=1600, frame_length_mm=3000,
        friday_ends_at=dt.time(15),
    ),
    CrewEntry(
        name="Crew Cedar", depot="North yard", payload_kg=900, frame_length_mm=2600,
        friday_ends_at=dt.time(15),
    ),
)  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class Staff:
    """Somebody of the shop."""

    name: str
    role: Role
    crew: str = ""
    skills: tuple[str, ...] = ("install",)
    day_off: int = 0
    """Days from today; 0 where there is none."""

    def entry(self) -> PersonEntry:
        """Their row; the password is given to all at once."""
        return PersonEntry(name=self.name, email=email(self.name, MAIL), phone="")


DISPATCHER = Staff(name="Iva Marsh", role=Role.DISPATCHER)
STAFF = (
    Staff(name="Orrin Vale", role=Role.READER, skills=()),
    Staff(name="Tamsin Rook", role=Role.CREW_LEAD, crew="Crew Ash"),
    Staff(name="Leif Garrow", role=Role.CREW_MEMBER, crew="Crew Ash"),
    Staff(name="Dario Penn", role=Role.CREW_MEMBER, crew="Crew Ash"),
    Staff(name="Corin Lark", role=Role.CREW_MEMBER, crew="Crew Ash"),
    Staff(name="Hollis Crane", role=Role.CREW_LEAD, crew="Crew Birch"),
    Staff(name="Wren Castor", role=Role.CREW_MEMBER, crew="Crew Birch", day_off=3),
    Staff(name="Emil Sorrel", role=Role.CREW_MEMBER, crew="Crew Birch"),
    Staff(
        name="Neva Thorne", role=Role.TEMPLATER, crew="Crew Cedar", skills=("template", "install")
    ),
    Staff(name="Juno Wick", role=Role.CREW_LEAD, crew="Crew Cedar"),
)

FIRST_NAMES = (
    "Odile", "Bruno", "Maren", "Sylvan", "Petra", "Anselm", "Greta", "Lorcan", "Mirela", "Tobin",
    "Isolde", "Casper", "Noemi", "Rufus", "Selma", "Yorick", "Dalia", "Evander", "Linnea", "Osric",
)  # fmt: skip
LAST_NAMES = (
    "Farrow", "Tallis", "Quill", "Brandt", "Hazel", "Morrow", "Pell", "Larch", "Winslow", "Dunmore",
    "Ostler", "Kestrel", "Vane", "Ruddock", "Selby", "Thackeray", "Underhill", "Yarrow",
)  # fmt: skip
STREETS = (
    "Ferry Street", "Lantern Court", "Orchard Road", "Harbor Lane", "Kiln Street", "Bell Row",
    "Heron Way", "Cooper Street", "Slate Hill", "Windmill Road", "Foundry Lane", "Garden Terrace",
)  # fmt: skip
TOWNS = {
    "Alder Bay": ("40117", 44.945, -91.885),
    "Pine Hollow": ("40152", 44.865, -91.775),
    "Gull Point": ("40121", 44.985, -91.845),
    "Marlow Ferry": ("40133", 44.905, -91.965),
}
STONES = {
    "Grey granite": 2700.0,
    "Black granite": 2900.0,
    "White quartz": 2400.0,
    "Sand quartz": 2400.0,
    "Green soapstone": 2850.0,
}
OVERHANGS_MM = {PieceKind.TOP: 32.0, PieceKind.ISLAND: 240.0}
EDGES = ("eased", "bevel", "half bullnose")
Stone = tuple[str, float]


def email(name: str, host: str) -> str:
    """A mail address made of a name."""
    return f"{name.lower().replace(' ', '.')}@{host}"


def customers(rng: Random) -> Iterator[CustomerEntry]:
    """Customers without end, each name once."""
    names = [f"{first} {last}" for first in FIRST_NAMES for last in LAST_NAMES]
    rng.shuffle(names)
    for number, name in enumerate(names):
        yield CustomerEntry(
            name=name, email=email(name, "mail.example"), phone=f"+1 555 {1000 + number}"
        )


def site(rng: Random) -> SiteEntry:
    """A house in one of the towns."""
    town = rng.choice(list(TOWNS))
    postal_code, lat, lon = TOWNS[town]
    return SiteEntry(
        street=f"{rng.randint(1, 180)} {rng.choice(STREETS)}",
        town=town,
        region="North Shore",
        postal_code=postal_code,
        lat=round(lat + rng.uniform(-0.025, 0.025), 5),
        lon=round(lon + rng.uniform(-0.035, 0.035), 5),
    )


def way_in(rng: Random) -> tuple[RouteElement, ...]:
    """From the truck to the cabinets: level, up stairs, or up in a lift."""
    door = RouteElement(kind=RouteKind.DOOR, name="front door", width_mm=914, height_mm=2032)
    path = RouteElement(kind=RouteKind.PATH, length_mm=rng.randrange(8, 40) * 1000.0)
    hall = RouteElement(
        kind=RouteKind.HALL, name="hall", width_mm=1100, height_mm=2440, length_mm=3500
    )
    stairs = RouteElement(
        kind=RouteKind.STAIRS,
        name="stairs",
        steps=14,
        width_mm=960,
        height_mm=2440,
        length_mm=4200,
        headroom_mm=2080,
        pitch_deg=36,
    )
    landing = RouteElement(
        kind=RouteKind.LANDING,
        name="landing",
        width_mm=1100,
        depth_mm=1100,
        height_mm=2440,
        turn_deg=90,
        pitch_deg=36,
    )
    turn = RouteElement(
        kind=RouteKind.TURN,
        name="turn",
        width_mm=1100,
        depth_mm=1200,
        height_mm=2440,
        turn_deg=90,
    )
    lift = RouteElement(
        kind=RouteKind.LIFT,
        name="lift",
        width_mm=1400,
        depth_mm=2000,
        height_mm=2200,
        door_mm=1000,
        door_height_mm=2100,
        return_mm=200,
        wall_mm=250,
    )
    ways = ((path, door, hall), (path, door, hall, turn), (path, door, stairs, hall),
            (path, door, stairs, landing, hall), (path, door, lift, hall))  # fmt: skip
    return rng.choices(ways, weights=(6, 4, 4, 2, 2))[0]


@dataclass(frozen=True, kw_only=True, slots=True)
class Kitchen:
    """What a customer orders: a title, the stone and the site work, how pieces are finished."""

    title: str
    work: Work
    finishes: Mapping[str, Finish]


def kitchen(rng: Random, recipe: Callable[[Random, Stone], Work] | None = None) -> Kitchen:
    """A kitchen, a bathroom or a bar, out of one of the shop's stones."""
    made = recipe or rng.choices(list(RECIPES), weights=list(RECIPES.values()))[0]
    material, density_kg_m3 = rng.choice(list(STONES.items()))
    work = made(rng, (material, density_kg_m3))
    finish = Finish(material=material, edge_finish=rng.choice(EDGES))
    run_mm = sum(p.length_mm for p in work.pieces if p.kind is PieceKind.TOP)
    return Kitchen(
        title=f"{(made.__doc__ or '').splitlines()[0].rstrip('.')}, {material.lower()}",
        work=replace(
            work,
            route=way_in(rng),
            cabinet_run_mm=run_mm,
            tear_out_mm=run_mm if rng.random() < 0.3 else 0.0,
        ),
        finishes={piece.name: finish for piece in work.pieces},
    )


def straight(rng: Random, stone: Stone) -> Work:
    """Straight kitchen."""
    top = _top("A", _length_mm(rng, 2000, 2900), stone, holes=(_sink(900), _tap(900)))
    splash = _splash("Splash", top.length_mm, stone)
    return Work(pieces=(top, splash))


def galley(rng: Random, stone: Stone) -> Work:
    """Galley kitchen."""
    long_mm = _length_mm(rng, 2100, 2900)
    wet = _top("A", long_mm, stone, holes=(_sink(long_mm / 2), _tap(long_mm / 2)))
    hot = _top("B", long_mm, stone, holes=(_cooktop(long_mm / 2),))
    return Work(pieces=(wet, hot))


def corner(rng: Random, stone: Stone) -> Work:
    """Corner kitchen."""
    first = _top("A", _length_mm(rng, 2200, 2900), stone, holes=(_sink(1300), _tap(1300)))
    second = _top("B", _length_mm(rng, 1500, 2400), stone, holes=(_cooktop(800),))
    return Work(pieces=(first, second), seams=(_seam(first, second),))


def one_piece_corner(rng: Random, stone: Stone) -> Work:
    """Corner kitchen in one piece."""
    long_mm, short_mm = _length_mm(rng, 2000, 2500), _length_mm(rng, 1200, 1500)
    outline = ((0, 0), (long_mm, 0), (long_mm, 635), (635, 635), (635, short_mm), (0, short_mm))
    whole = replace(
        _top("A", long_mm, stone, holes=(_sink(1400),)), outline_mm=outline, needs_field_cut=True
    )
    return Work(pieces=(whole,))


def horseshoe(rng: Random, stone: Stone) -> Work:
    """Kitchen on three walls."""
    left = _top("A", _length_mm(rng, 1500, 2300), stone)
    back = _top("B", _length_mm(rng, 2200, 2800), stone, holes=(_sink(1200), _tap(1200)))
    right = _top("C", _length_mm(rng, 1500, 2300), stone, holes=(_cooktop(800),))
    seams = (_seam(left, back), _seam(back, right, SeamMethod.FLOW_GRADE))
    return Work(pieces=(left, back, right), seams=seams)


def with_island(rng: Random, stone: Stone) -> Work:
    """Corner kitchen with an island."""
    legs = corner(rng, stone)
    island = _top("Island", _length_mm(rng, 1500, 1900), stone, kind=PieceKind.ISLAND, deep_mm=900)
    brackets = tuple(Support(piece="Island", kind=SupportKind.BRACKET) for _ in range(3))
    return replace(legs, pieces=(*legs.pieces, island), supports=brackets)


def great_island(_rng: Random, stone: Stone) -> Work:
    """Island of one large piece."""
    island = _top("Island", 3050, stone, kind=PieceKind.ISLAND, deep_mm=1150)
    return Work(pieces=(island,))


def bathroom(rng: Random, stone: Stone) -> Work:
    """Bathroom."""
    top = replace(
        _top("Vanity", _length_mm(rng, 900, 1500), stone, deep_mm=560), thickness_mm=20,
        cutouts=(replace(_sink(450), width_mm=430, height_mm=330, y_mm=280),),
    )  # fmt: skip
    return Work(pieces=(top, _splash("Splash", top.length_mm, stone)))


def bar(rng: Random, stone: Stone) -> Work:
    """Bar with a waterfall end."""
    top = _top("Bar", _length_mm(rng, 1400, 1900), stone, deep_mm=500)
    end = _top("End", 900, stone, kind=PieceKind.WATERFALL, deep_mm=500)
    return Work(pieces=(top, end), seams=(replace(_seam(top, end), length_mm=500),))


RECIPES: Mapping[Callable[[Random, Stone], Work], int] = {
    straight: 3, galley: 3, corner: 5, one_piece_corner: 1, horseshoe: 2, with_island: 4,
    bathroom: 5, bar: 2,
}  # fmt: skip
"""How often each is ordered."""
SMALL = (bathroom, bar)
"""What two people carry."""


def _length_mm(rng: Random, least_mm: int, most_mm: int) -> float:
    return float(rng.randrange(least_mm, most_mm, 5))


def _top(
    name: str, long_mm: float, stone: Stone, *, holes: tuple[Cutout, ...] = (),
    kind: PieceKind = PieceKind.TOP, deep_mm: float = 635,
) -> Piece:  # fmt: skip
    return Piece(
        name=name,
        kind=kind,
        outline_mm=((0, 0), (long_mm, 0), (long_mm, deep_mm), (0, deep_mm)),
        thickness_mm=30,
        density_kg_m3=stone[1],
        finished_edge_mm=long_mm if kind is PieceKind.TOP else 2 * (long_mm + deep_mm),
        cutouts=holes,
        overhang_mm=OVERHANGS_MM.get(kind),
        span_mm=590 if kind in OVERHANGS_MM else None,
    )


def _splash(name: str, long_mm: float, stone: Stone) -> Piece:
    splash = _top(name, long_mm, stone, kind=PieceKind.BACKSPLASH, deep_mm=100)
    return replace(splash, thickness_mm=20, finished_edge_mm=long_mm)


def _sink(x_mm: float) -> Cutout:
    return Cutout(
        kind=CutoutKind.UNDERMOUNT_SINK, x_mm=x_mm, y_mm=310, width_mm=760, height_mm=420,
        corner_radius_mm=10, front_rail_mm=100, back_rail_mm=115, is_supported=True,
        cabinet_mm=870,
    )  # fmt: skip


def _tap(x_mm: float) -> Cutout:
    return Cutout(
        kind=CutoutKind.TAP_HOLE, x_mm=x_mm, y_mm=580, width_mm=35, height_mm=35,
        corner_radius_mm=17.5,
    )  # fmt: skip


def _cooktop(x_mm: float) -> Cutout:
    return Cutout(
        kind=CutoutKind.COOKTOP, x_mm=x_mm, y_mm=315, width_mm=560, height_mm=490,
        corner_radius_mm=10, front_rail_mm=70, back_rail_mm=75, is_supported=True,
        cabinet_mm=870,
    )  # fmt: skip


def _seam(first: Piece, second: Piece, method: SeamMethod = SeamMethod.KNIFE_GRADE) -> Seam:
    return Seam(
        name=f"{first.name}-{second.name}", first=first.name, second=second.name, length_mm=635,
        method=method, is_over_dishwasher=False, to_sink_mm=_to_sink_mm(first, second),
    )  # fmt: skip


def _to_sink_mm(first: Piece, second: Piece) -> float | None:
    """From the end of the first and the beginning of the second to the nearest sink."""
    ends = [
        first.length_mm - hole.x_mm - hole.width_mm / 2 for hole in first.cutouts if _is_sink(hole)
    ]
    starts = [hole.x_mm - hole.width_mm / 2 for hole in second.cutouts if _is_sink(hole)]
    return min((*ends, *starts), default=None)


def _is_sink(hole: Cutout) -> bool:
    return hole.kind is CutoutKind.UNDERMOUNT_SINK
