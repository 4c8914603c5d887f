"""Rows into facts, in a fixed number of queries."""

from crewjobs.snapshots.finished import finished, finished_visits, team
from crewjobs.snapshots.jobs import (
    WHOLE_JOB,
    is_templated,
    job,
    job_facts,
    shop,
    visit_reports,
    whole_jobs,
    work,
)
from crewjobs.snapshots.week import LeftOut, Week, moment, on_clock, week, week_zone

__all__ = [
    "WHOLE_JOB",
    "LeftOut",
    "Week",
    "finished",
    "finished_visits",
    "is_templated",
    "job",
    "job_facts",
    "moment",
    "on_clock",
    "shop",
    "team",
    "visit_reports",
    "week",
    "week_zone",
    "whole_jobs",
    "work",
]
