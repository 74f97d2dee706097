"""A SQLite file under this program's limits: how it is looked at, connected to and hardened."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from backbearing.notebook.names import name_key

BUSY_TIMEOUT_S = 10.0

# https://sqlite.org/security.html, "Untrusted SQLite Database Files"
_LIMITS = {
    sqlite3.SQLITE_LIMIT_LENGTH: 1_000_000_000,
    sqlite3.SQLITE_LIMIT_SQL_LENGTH: 100_000,
    sqlite3.SQLITE_LIMIT_COLUMN: 500,
    sqlite3.SQLITE_LIMIT_EXPR_DEPTH: 100,
    sqlite3.SQLITE_LIMIT_COMPOUND_SELECT: 10,
    sqlite3.SQLITE_LIMIT_VDBE_OP: 250_000,
    sqlite3.SQLITE_LIMIT_FUNCTION_ARG: 16,
    sqlite3.SQLITE_LIMIT_ATTACHED: 0,
    sqlite3.SQLITE_LIMIT_LIKE_PATTERN_LENGTH: 50,
    sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER: 500,
    sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH: 10,
}


def looking(path: Path, *, writable: bool) -> sqlite3.Connection:
    """A read-only connection, where a crash left nothing that only a writer can clear up."""
    try:
        return connect(path, "ro")
    except sqlite3.OperationalError as error:
        code = error.sqlite_errorcode & 0xFF
        if writable and code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN):
            return connect(path, "rw")  # rolls back what a killed program left half done
        if code == sqlite3.SQLITE_CANTOPEN and not _size(path.with_name(path.name + "-wal")):
            # in write-ahead mode but with nothing in the log, in a folder that may not be written
            return connect(path, "ro&immutable=1")
        raise


def connect(path: Path, mode: str) -> sqlite3.Connection:
    """A connection that has read the file once, so that locks and logs have shown themselves."""
    plain = str(path.absolute()).replace("%", "%25").replace("?", "%3f").replace("#", "%23")
    where = f"file:{plain}?mode={mode}"
    connection = configured(
        sqlite3.connect(where, uri=True, timeout=BUSY_TIMEOUT_S, isolation_level=None)
    )
    try:
        connection.execute("SELECT 1 FROM sqlite_master").fetchone()
    except BaseException:
        connection.close()
        raise
    return connection


def configured(connection: sqlite3.Connection) -> sqlite3.Connection:
    """The connection itself, with rows by name, the limits, and names compared as ours are."""
    connection.row_factory = sqlite3.Row
    for limit, value in _LIMITS.items():
        connection.setlimit(limit, value)
    connection.create_function("name_key", 1, name_key, deterministic=True)
    return connection


def distrust(connection: sqlite3.Connection) -> None:
    """Let nothing be written, and no code of the file's own run but what SQLite calls harmless."""
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA cell_size_check = ON")
    connection.execute("PRAGMA mmap_size = 0")
    connection.execute("PRAGMA query_only = ON")
    if hasattr(sqlite3, "SQLITE_DBCONFIG_DEFENSIVE"):  # Python 3.12
        connection.setconfig(sqlite3.SQLITE_DBCONFIG_DEFENSIVE, True)  # type: ignore[attr-defined]


def leave_write_ahead_log(connection: sqlite3.Connection) -> None:
    """Fold a log that a GIS left back into the file; while the GIS is open, leave it its log."""
    (mode,) = connection.execute("PRAGMA journal_mode").fetchone()
    if mode != "wal":
        return
    connection.execute("PRAGMA busy_timeout = 0")
    try:
        connection.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.OperationalError as error:
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:
            raise
    finally:
        connection.execute(f"PRAGMA busy_timeout = {int(BUSY_TIMEOUT_S * 1000)}")


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return 0
