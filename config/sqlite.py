"""Which SQLite runs, and whether it may keep a write-ahead log.

SQLite 3.7.0 to 3.51.2 can corrupt a database in that mode (the reset of the log, fixed in 3.51.3
and carried back to 3.44.6 and 3.50.7). There a rollback journal is kept: slower, and not affected.
"""

import sys
from importlib import import_module
from importlib.util import find_spec

Version = tuple[int, int, int]


def use_the_newest() -> None:
    """Let Django find the SQLite that `pysqlite3` brings, where it is installed."""
    if find_spec("pysqlite3"):
        sys.modules["sqlite3"] = import_module("pysqlite3")
        sys.modules["sqlite3.dbapi2"] = import_module("pysqlite3.dbapi2")


def is_affected(version: Version) -> bool:
    """Whether this version can lose a database that keeps a write-ahead log."""
    if version < (3, 7, 0) or version >= (3, 51, 3):
        return False
    carried_back = {(3, 44): 6, (3, 50): 7}
    least = carried_back.get(version[:2])
    return least is None or version[2] < least


def journal(version: Version) -> str:
    """The journal that this version may keep."""
    return "TRUNCATE" if is_affected(version) else "WAL"
