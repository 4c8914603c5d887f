"""How many mails one worker hands over: `python -m tests.bench.outbox`.

On a SQLite file that is written through to the disk at each step; the mail server is a file.
"""

import json
import tempfile
from pathlib import Path

from tests.app.test_outbox_kill import Office

MESSAGES = 2000


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        office = Office(f"sqlite:///{folder}/outbox.sqlite3", Path(folder))
        office.run("fill", "0", str(MESSAGES))
        told = json.loads(office.run("empty"))
    per_s = told["sent"] / told["took_s"]
    print(f"{told['sent']} mails by one worker: {per_s:.0f} a second, words and log included")
    print(f"a look that finds nothing among them: {told['empty_look_s'] * 1000:.2f} ms")


if __name__ == "__main__":
    main()
