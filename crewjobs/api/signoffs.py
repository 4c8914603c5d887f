"""The end of a job: open items, work left to trades, the signature."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from rest_framework import serializers

from crewjobs.actions import items, signoffs, trades
from crewjobs.api.endpoint import Ask, Endpoint, does
from crewjobs.api.fields import Moment, Number, OneOf, Strict
from crewjobs.api.jobs import OpenItemOut, SignOffOut, TradeWorkOut
from crewjobs.domain.facts import Trade
from crewjobs.models import OpenItem, SigningWay, SignOff, TradeWork
from crewjobs.permissions import visible_jobs


class OpenItemIn(Strict):
    what = serializers.CharField(max_length=200)


class TradeWorkIn(Strict):
    trade = OneOf(Trade)
    what = serializers.CharField(max_length=200)
    earliest_at = Moment(required=False, allow_null=True)


class EarliestIn(Strict):
    earliest_at = Moment(allow_null=True, help_text="null: told from what cures again")


class SignatureIn(Strict):
    """A drawn name has strokes: lists of [x, y, milliseconds]. A typed name has none."""

    signer_name = serializers.CharField(max_length=120)
    way = OneOf(SigningWay)
    strokes = serializers.ListField(
        child=serializers.ListField(
            child=serializers.ListField(child=Number(), min_length=3, max_length=3)
        ),
        required=False,
        max_length=500,
    )
    accepts_open_items = serializers.BooleanField(required=False)
    seen_sha256 = serializers.CharField(
        required=False, max_length=64, help_text="Of the text that was shown"
    )


class ToSign(serializers.Serializer[Any]):
    """The text that is signed, and the signature once there is one."""

    document = serializers.CharField()
    document_sha256 = serializers.CharField()
    sign_off = SignOffOut(allow_null=True)


class OpenItems(Endpoint):
    @does("job.read", answers=OpenItemOut, many=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[OpenItem]:
        """What was noted as left to do, the closed ones too."""
        return visible_jobs(ask.by).get(pk=job_id).open_items.all()

    @does("item.change", takes=OpenItemIn, answers=OpenItemOut, status=201)
    def post(self, ask: Ask, job_id: UUID) -> OpenItem:
        """Note something that is left to do."""
        return items.open(job_id=job_id, by=ask.by, now=ask.now, **ask.data)


class OpenItemClose(Endpoint):
    @does("item.change", answers=OpenItemOut)
    def post(self, ask: Ask, item_id: UUID) -> OpenItem:
        """It is done."""
        return items.close(item_id=item_id, by=ask.by, now=ask.now)


class OpenItemAccept(Endpoint):
    @does("job.sign_off", answers=OpenItemOut)
    def post(self, ask: Ask, item_id: UUID) -> OpenItem:
        """The customer accepts in writing that it stays open."""
        return items.accept(item_id=item_id, by=ask.by, now=ask.now)


class JobTradeWork(Endpoint):
    @does("job.read", answers=TradeWorkOut, many=True)
    def get(self, ask: Ask, job_id: UUID) -> QuerySet[TradeWork]:
        """What is left to licensed trades."""
        return visible_jobs(ask.by).get(pk=job_id).trade_work.all()

    @does("item.change", takes=TradeWorkIn, answers=TradeWorkOut, status=201)
    def post(self, ask: Ask, job_id: UUID) -> TradeWork:
        """Leave work to a licensed trade."""
        return trades.leave(job_id=job_id, by=ask.by, now=ask.now, **ask.data)


class TradeWorkEarliest(Endpoint):
    @does("item.change", takes=EarliestIn, answers=TradeWorkOut)
    def put(self, ask: Ask, work_id: UUID) -> TradeWork:
        """Say from when on the trade may come."""
        return trades.earliest(work_id=work_id, by=ask.by, now=ask.now, **ask.data)


class TradeWorkDone(Endpoint):
    @does("item.change", answers=TradeWorkOut)
    def post(self, ask: Ask, work_id: UUID) -> TradeWork:
        """The trade has done its work."""
        return trades.done(work_id=work_id, by=ask.by, now=ask.now)


class JobSignOff(Endpoint):
    @does("job.read", answers=ToSign)
    def get(self, ask: Ask, job_id: UUID) -> dict[str, Any]:
        """The text to be signed, or the one that was signed."""
        job = visible_jobs(ask.by).select_related("sign_off", "customer", "site").get(pk=job_id)
        signed: SignOff | None = getattr(job, "sign_off", None)
        text = signed.document if signed else signoffs.document(job)
        return {
            "document": text,
            "document_sha256": signoffs.sha256_of(text),
            "sign_off": signed,
        }

    @does("job.sign_off", takes=SignatureIn, answers=SignOffOut, status=201)
    def post(self, ask: Ask, job_id: UUID) -> SignOff:
        """The customer signs, one of the crew's leads beside them."""
        asked = ask.request.META
        return signoffs.sign(
            job_id=job_id,
            by=ask.by,
            now=ask.now,
            address=asked.get("REMOTE_ADDR") or None,
            agent=asked.get("HTTP_USER_AGENT", ""),
            **ask.data,
        )
