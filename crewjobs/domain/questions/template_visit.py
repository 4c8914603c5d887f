"""What is asked where the template is taken, before anything is cut."""

from crewjobs.domain.findings import Severity
from crewjobs.domain.questions.question import Kind, Question
from crewjobs.domain.questions.walk_through import CABINETS_FIXED

STOP = Severity.STOP
CUT = "trade practice: what is found before the stone is cut costs an hour, after it a piece"

QUESTIONS = (
    Question(code="way_in_measured", words="Every element of the way in is measured, from the "
             "truck to the cabinets", severity=STOP, source="what is not measured is not said to "
             "fit"),
    Question(code="longest", words="The seams are placed with the longest piece that the way in "
             "admits in view", source=CUT),
    CABINETS_FIXED,
    Question(code="appliances_known", words="Sink, cooktop, taps and dishwasher are here, or their "
             "data sheets with the cutout", severity=STOP, asks_note=True, source=CUT),
    Question(code="dishwasher", words="How the dishwasher is fastened", kind=Kind.CHOICE,
             choices=("none", "to the cabinets", "to the stone", "not known"), bad=("not known",),
             source=CUT),
    Question(code="supports", words="Wide spans and overhangs have their supports, or they are "
             "agreed", source="Dimension Stone Design Manual, ch. 17, gives spans and overhangs"),
    Question(code="walls", words="Walls out of square or plumb: which, and how far",
             kind=Kind.TEXT, is_required=False),
    Question(code="control_where", words="Which dimension is measured again on the install day: "
             "from where to where", kind=Kind.TEXT, source=CUT),
    Question(code="control", words="That control dimension", kind=Kind.MEASURE, source=CUT),
    Question(code="agreed", words="Edges, overhangs, seams and the run of the veins are agreed "
             "with the customer", severity=STOP, source=CUT),
    Question(code="parking_known", words="Where the truck can stand", kind=Kind.CHOICE,
             choices=("at the door", "in the street", "only with a permit", "nowhere near"),
             bad=("only with a permit", "nowhere near"), asks_note=True, is_required=False),
)  # fmt: skip
