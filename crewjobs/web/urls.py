"""The addresses of the pages."""

from django.urls import URLPattern, path

from crewjobs.web import (
    calendars,
    entrance,
    health,
    job,
    jobs,
    outbox,
    signoffs,
    start,
    visits,
    week,
)

JOB = "jobs/<uuid:job_id>/"

urlpatterns: list[URLPattern] = [
    path("healthz", health.alive, name="alive"),
    path("readyz", health.ready, name="ready"),
    path("robots.txt", entrance.robots, name="robots"),
    path("found/", entrance.found, name="found"),
    path("sign-in/", entrance.sign_in, name="sign-in"),
    path("sign-out/", entrance.sign_out, name="sign-out"),
    path("", start.show, name="start"),
    path("jobs/", jobs.index, name="jobs"),
    path(JOB, job.show, name="job"),
    path(f"{JOB}advance/", job.advance, name="job-advance"),
    path(f"{JOB}hold/", job.hold, name="job-hold"),
    path(f"{JOB}release/", job.release, name="job-release"),
    path(f"{JOB}cancel/", job.cancel, name="job-cancel"),
    path(f"{JOB}items/", job.add_item, name="job-add-item"),
    path(f"{JOB}items/<uuid:item_id>/close/", job.close_item, name="job-close-item"),
    path(f"{JOB}pieces/<uuid:piece_id>/inspect/", job.inspect, name="job-inspect"),
    path(f"{JOB}sign-off-link/", job.make_sign_off_link, name="job-sign-off-link"),
    path("week/", week.show, name="week"),
    path("week/draft/", week.draft, name="draft"),
    path("plans/<uuid:plan_id>/", week.compare, name="plan"),
    path("plans/<uuid:plan_id>/publish/", week.publish, name="plan-publish"),
    path("plans/<uuid:plan_id>/discard/", week.discard, name="plan-discard"),
    path("visits/<uuid:visit_id>/", visits.show, name="visit"),
    path("visits/<uuid:visit_id>/report/", visits.report, name="visit-report"),
    path("sign-off/<slug:token>/", signoffs.show, name="sign-off"),
    path("feeds/", calendars.index, name="calendars"),
    path("feeds/make/", calendars.make, name="calendar-make"),
    path("feeds/<uuid:link_id>/revoke/", calendars.revoke, name="calendar-revoke"),
    path("messages/", outbox.index, name="messages"),
    path("messages/<uuid:message_id>/retry/", outbox.retry, name="message-retry"),
    path("messages/<uuid:message_id>/give-up/", outbox.give_up, name="message-give-up"),
]
