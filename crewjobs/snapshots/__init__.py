"""Rows into facts, in a fixed number of queries."""

from crewjobs.snapshots.clocks import moment, on_clock, week_zone
from crewjobs.snapshots.curing import cured
from crewjobs.snapshots.dusty_days import dusty_day
from crewjobs.snapshots.finished import (
    MOST_FORETOLD,
    Foretold,
    finished,
    finished_visits,
    foretold,
    team,
)
from crewjobs.snapshots.full_days import full_days
from crewjobs.snapshots.jobs import (
    WHOLE_JOB,
    is_templated,
    job,
    job_facts,
    piece,
    shop,
    to_search,
    visit_reports,
    whole_jobs,
    work,
)
from crewjobs.snapshots.lasting import end_moved, planned_min
from crewjobs.snapshots.lateness import Late, ends, late
from crewjobs.snapshots.loads import Call, Load, load, loads
from crewjobs.snapshots.loads_of_job import loads_of_job
from crewjobs.snapshots.outings import outing, outing_of, visit_facts
from crewjobs.snapshots.standards import Standard, standards
from crewjobs.snapshots.stops import Held, held, stops, visit_id
from crewjobs.snapshots.to_plan import LeftOut
from crewjobs.snapshots.week import Week, week

__all__ = [
    "MOST_FORETOLD",
    "WHOLE_JOB",
    "Call",
    "Foretold",
    "Held",
    "Late",
    "LeftOut",
    "Load",
    "Standard",
    "Week",
    "cured",
    "dusty_day",
    "end_moved",
    "ends",
    "finished",
    "finished_visits",
    "foretold",
    "full_days",
    "held",
    "is_templated",
    "job",
    "job_facts",
    "late",
    "load",
    "loads",
    "loads_of_job",
    "moment",
    "on_clock",
    "outing",
    "outing_of",
    "piece",
    "planned_min",
    "shop",
    "standards",
    "stops",
    "team",
    "to_search",
    "visit_facts",
    "visit_id",
    "visit_reports",
    "week",
    "week_zone",
    "whole_jobs",
    "work",
]
