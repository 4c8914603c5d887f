"""Rows into facts, in a fixed number of queries."""

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

__all__ = [
    "WHOLE_JOB",
    "is_templated",
    "job",
    "job_facts",
    "shop",
    "visit_reports",
    "whole_jobs",
    "work",
]
