"""How much to spare plans leave: so much that a stated share of days ends on time, as simulated."""

from datetime import datetime

from django.db import transaction

from crewjobs import snapshots
from crewjobs.actions import log
from crewjobs.actions.errors import ConflictError, InvalidError
from crewjobs.domain.scheduling import risk
from crewjobs.domain.scheduling.risk import PlanningShare
from crewjobs.models import Person, Shop

LEAST_SHARE, MOST_SHARE = 0.5, 0.99
SEED = 1
"""The same rows give the same answer."""


@transaction.atomic
def choose(*, on_time_share: float, by: Person, now: datetime) -> PlanningShare:
    """Plan from now on so that this share of full days ends on time, and say what is reached.

    Found by living through the shop's own crew-days many times, each visit drawn between its P50
    and its P80; where even the P80 of every visit does not reach it, that is what is planned with.

    Raises
    ------
    InvalidError
        If the share lies outside of 0.5 to 0.99.
    ConflictError
        If nothing was ever published: there are no days to live through.
    """
    log.require(by, "shop.change")
    if not LEAST_SHARE <= on_time_share <= MOST_SHARE:
        raise InvalidError(
            {"/on_time_share": f"must lie between {LEAST_SHARE:g} and {MOST_SHARE:g}"}
        )
    shop = Shop.objects.select_for_update().get()
    days = snapshots.full_days(shop)
    if not days:
        raise ConflictError("nothing is published so far: there are no days to go by")
    found = risk.planning_share(days, wanted_share=on_time_share, seed=SEED)
    shop.planning_share = found.share
    shop.save()
    log.write(
        "shop.change",
        shop,
        by=by,
        now=now,
        after={"planning_share": f"{found.share:.3f}"},
        on_time_share=on_time_share,
        days=len(days),
    )
    return found
