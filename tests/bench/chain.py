"""The invented shop, timed link by link: `python -m tests.bench.chain [PICTURE.svg]`.

Plays the demo in memory on a fixed day, then drafts its fortnight anew and reads a feed. With a
path it also draws the plan's second week, as the README shows it.
"""

# isort: off
from tests.bench import memory  # noqa: F401  sets up the database
# isort: on

import datetime as dt
import re
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import TypeVar

from django.conf import settings
from django.test import Client, override_settings

from crewjobs.actions import links, plans
from crewjobs.management import demo_history
from crewjobs.models import Person, Plan, Purpose, Role

NOON = dt.datetime(2026, 6, 8, 17, tzinfo=dt.UTC)
"""A Monday in the invented place."""
SEED = 7
MONDAY = dt.date(2026, 6, 15)
"""The week that is drawn begins then."""
SHEET = Path("crewjobs/static/crewjobs/sheet.css")
DRAWN = re.compile(r"^(?:svg text|text|path|rect|\.(?:shift|drive|window))\b[^{]*\{.*\}$", re.M)
NAMES = re.compile(r"--(\w[\w-]*): (#\w+);")
Answer = TypeVar("Answer")


def timed(what: str, ask: Callable[[], Answer]) -> Answer:
    begun_s = time.perf_counter()
    answer = ask()
    print(f"{what:50} {time.perf_counter() - begun_s:8.4f} s")
    return answer


def play() -> Plan:
    mails = {"EMAIL_BACKEND": "django.core.mail.backends.locmem.EmailBackend"}
    with override_settings(**mails):
        return demo_history.play(now=NOON, rng=Random(SEED))


def drawing(office: Person) -> str:
    """The week as one file: the page's own drawing, without its links, with its own styles."""
    client = Client()
    client.force_login(office)
    page = client.get("/week/", {"from": str(MONDAY)}).content.decode()
    svg = page[page.index('<svg class="week"') : page.index("</svg>", page.index("<g>"))]
    svg = re.sub(r"<a [^>]*>", "<g>", svg).replace("</a>", "</g>")
    svg = re.sub(r'viewBox="0 0 \d+', 'viewBox="-10 0 1200', svg, count=1)
    svg = svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
    svg = svg.replace("<defs>", f"<defs>\n    <style>{styles()}</style>", 1)
    return "\n".join(line.rstrip() for line in svg.splitlines() if line.strip()) + "\n</svg>\n"


def styles() -> str:
    """The rules of the sheet that a drawing uses, with the colors of paper by day."""
    sheet = SHEET.read_text(encoding="utf-8")
    colors = dict(NAMES.findall(sheet[: sheet.index("@media")]))
    rules = "\n".join(DRAWN.findall(sheet)).replace("inherit", "sans-serif")
    colored = re.sub(r"var\(--([\w-]+)\)", lambda name: colors[name[1]], rules)
    return f"\n.week {{ background: {colors['paper']}; }}\n{colored}\n"


def main() -> None:
    plan = timed("the demo: 35 days of a shop, played", play)
    office = Person.objects.get(role=Role.DISPATCHER)
    days = {"first_on": plan.first_on, "last_on": plan.last_on}
    timed("a fortnight drafted, usual stop", lambda: plans.draft(by=office, now=NOON, **days))
    _, token = links.make(purpose=Purpose.SHOP_FEED, by=office, now=NOON)
    timed("the shop's feed, cold", lambda: Client().get(f"/cal/{token}.ics"))
    if len(sys.argv) > 1:
        plans.discard(plan_id=Plan.objects.latest("version").pk, by=office, now=NOON)
        Path(sys.argv[1]).write_text(drawing(office), encoding="utf-8")


if __name__ == "__main__":
    settings.ALLOWED_HOSTS = ["*"]
    main()
