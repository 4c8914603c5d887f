"""What is asked on site, before anything is unloaded."""

from crewjobs.domain.findings import Severity
from crewjobs.domain.questions.question import Expected, Kind, Question, Where

STOP = Severity.STOP
TRADES = "water, gas and electricity are left to licensed trades; local codes come first"
UNLOADED = "trade practice: a site that is not ready is found out while the stone is on the truck"
LEVEL = "Dimension Stone Design Manual: 1/8 in over 10 ft, read as a flat limit for each 10 ft"

GAS_OFF = Question(
    code="gas_off",
    words="Gas and power of the old cooktop are off, shut off by the licensed trade",
    severity=STOP,
    where=Where.ANY_COOKTOP,
    asks_note=True,
    source=TRADES,
)
POWER = Question(code="power", words="There is power for the tools", source=UNLOADED)
WATER = Question(code="water", words="There is water for wet work and cleaning", source=UNLOADED)
ROOMS_WARM = Question(
    code="rooms_warm",
    words="The rooms are as warm as the adhesive's data sheet asks, and stay so until it is hard",
    asks_note=True,
    source="the adhesive maker's data sheet",
)
APPLIANCES = Question(
    code="appliances",
    words="Sink, taps and cooktop are on site, the ones that the stone was cut for",
    severity=STOP,
    where=Where.SINK_OR_COOKTOP,
    asks_note=True,
    source=UNLOADED,
)
CABINETS_FIXED = Question(
    code="cabinets_fixed",
    words="All cabinets stand in their places and are fixed",
    severity=STOP,
    asks_note=True,
    source=UNLOADED,
)
TOPS_REMOVED = Question(
    code="tops_removed",
    words="The old tops are out",
    severity=STOP,
    where=Where.OTHERS_TEAR_OUT,
    source=UNLOADED,
)
PATH_CLEAR = Question(
    code="path_clear",
    words="The way in is clear from the truck to the cabinets, and dry",
    severity=STOP,
    asks_note=True,
    source="nobody steps over anything with a piece in hand; common practice",
)
PARKING = Question(
    code="parking", words="The truck can stand where the way in begins", source=UNLOADED
)
SOMEBODY = Question(
    code="somebody",
    words="Somebody of age who may decide for the customer is there",
    source=UNLOADED,
)

QUESTIONS = (
    PARKING,
    SOMEBODY,
    PATH_CLEAR,
    Question(code="way_in", words="The way in is as it was measured: doors, turns, stairs, lift",
             severity=STOP, asks_note=True, source=UNLOADED),
    Question(code="floor", words="Floors, stairs and door frames on the way are protected",
             source=UNLOADED),
    ROOMS_WARM,
    POWER,
    WATER,
    GAS_OFF,
    APPLIANCES,
    TOPS_REMOVED,
    CABINETS_FIXED,
    Question(code="off_level", words="How far the cabinets are out of level over their run",
             kind=Kind.MEASURE, expects=Expected.LEVEL, source=LEVEL),
    Question(code="control_again", words="The control dimension of the template visit, measured "
             "again", kind=Kind.MEASURE, severity=STOP, where=Where.CONTROL,
             expects=Expected.CONTROL, minus_mm=3.0, plus_mm=3.0,
             source="3 mm: common practice, not measured"),
    Question(code="template_true", words="Walls and cabinets are as they were when the template "
             "was taken", severity=STOP, asks_photo=True, asks_note=True, source=UNLOADED),
)  # fmt: skip
