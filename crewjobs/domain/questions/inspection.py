"""What is asked of a finished piece, before it is loaded."""

from crewjobs.domain.findings import Severity
from crewjobs.domain.questions.question import Expected, Kind, Question, Where

STOP = Severity.STOP
WOODWORK = (
    "Architectural Woodwork Standards, 1st ed. 2009, p. 307-311: length +-1/8 in, width +-1/16 in, "
    "cutout position +-1/8 in, cutout size +1/8/-0 in"
)
STONE = "Dimension Stone Design Manual, ch. 17"
EIGHTH_MM, SIXTEENTH_MM = 3.175, 1.5875
SHOP = "trade practice: a fault costs least while the piece is still in the shop"


def _cutout(code: str, words: str, where: Where, expects: Expected) -> Question:
    return Question(
        code=code,
        words=words,
        kind=Kind.MEASURE,
        severity=STOP,
        expects=expects,
        minus_mm=0.0,
        plus_mm=EIGHTH_MM,
        where=where,
        source=WOODWORK,
    )


QUESTIONS = (
    Question(code="length", words="Length of the piece, measured", kind=Kind.MEASURE, severity=STOP,
             expects=Expected.LENGTH, minus_mm=EIGHTH_MM, plus_mm=EIGHTH_MM, source=WOODWORK),
    Question(code="depth", words="Depth of the piece, measured", kind=Kind.MEASURE, severity=STOP,
             expects=Expected.DEPTH, minus_mm=SIXTEENTH_MM, plus_mm=SIXTEENTH_MM, source=WOODWORK),
    Question(code="thickness", words="Thickness, measured at the thinnest place", kind=Kind.MEASURE,
             is_required=False, expects=Expected.THICKNESS, minus_mm=3.0, plus_mm=3.0,
             source=f"{STONE}: varies by at most 1/8 in on one project"),
    Question(code="cutouts", words="Every cutout and hole of the order is there, within 3 mm "
             "(1/8 in) of its place", severity=STOP, where=Where.CUTOUT, asks_note=True,
             source=WOODWORK),
    _cutout("sink_width", "Width of the sink cutout", Where.SINK, Expected.SINK_WIDTH),
    _cutout("sink_depth", "Depth of the sink cutout", Where.SINK, Expected.SINK_DEPTH),
    _cutout("cooktop_width", "Width of the cooktop cutout", Where.COOKTOP, Expected.COOKTOP_WIDTH),
    _cutout("cooktop_depth", "Depth of the cooktop cutout", Where.COOKTOP, Expected.COOKTOP_DEPTH),
    Question(code="tap_holes", words="The tap holes are as many and as wide as ordered",
             severity=STOP, where=Where.TAP_HOLE, source=SHOP),
    Question(code="corner_radius", words="Inside corners have the radius of the order and no nick",
             severity=STOP, where=Where.CUTOUT,
             source="a fabricator's published least is 3/8 in (9.5 mm): cracks begin at corners"),
    Question(code="material", words="Colour, lot and the run of the veins match the order and the "
             "other pieces", severity=STOP, asks_photo=True, source=SHOP),
    Question(code="edges", words="The edges are worked and polished as ordered, all along",
             severity=STOP, asks_note=True, source=SHOP),
    Question(code="sound", words="There is no chip, crack or open pit", severity=STOP,
             asks_photo=True, asks_note=True, source=SHOP),
    Question(code="flat", words="It is flat: at most 1.5 mm (1/16 in) under a straightedge of "
             "1.2 m (4 ft)", source=STONE),
    Question(code="seam_edges", words="The edges at its seams are straight and square, and match "
             "the other piece when laid side by side", severity=STOP, where=Where.SEAM,
             asks_note=True, source=SHOP),
    Question(code="marked", words="It is clean, and marked with the job and the piece",
             is_required=False, source=SHOP),
)  # fmt: skip
