"""Opening a notebook, and the one way to write in it.

Written so that a plain copy of the file is always a whole notebook: rollback journal (a
write-ahead log that a GIS left behind is folded back in), `synchronous=FULL`, each change one
transaction begun with BEGIN IMMEDIATE and a busy timeout (a deferred begin fails half the time
when two programs write). A file is made whole beside its place and then linked to it, mode 0600.

Not every file is ours to write. A notebook that belongs to another user or may not be written,
or whose tables carry code that neither this program nor a GIS's spatial index put there, is
opened read-only with an untrusted schema (see `trust`).
"""

from __future__ import annotations

import hashlib
import marshal
import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Any, Literal

from backbearing.errors import (
    BadFile,
    NotebookBusy,
    NotebookError,
    NotebookReadOnly,
    NotebookTooNew,
    NotFound,
    quoted,
)
from backbearing.notebook import schema, spatial_functions, sqlite_file, tables, trust
from backbearing.notebook.extents import Changes
from backbearing.notebook.faults import own_errors

_NOT_A_NOTEBOOK = "this is not a notebook of ours"
Read = tuple[str, tuple[Any, ...], bytes]  # a query, its values, a digest of the rows it gave
_NAME_ANOTHER = "name another file with --notebook; this one is left as it is"


class Notebook:
    """An open notebook; a context manager that closes itself.

    path: the file. readonly: whether writing is refused. readonly_because: why, as a clause.
    connection: the SQLite connection, rows as sqlite3.Row; `rows` and `run` are the way to
    use it, since they turn SQLite's errors into this program's.
    """

    def __init__(
        self,
        path: Path,
        connection: sqlite3.Connection,
        *,
        readonly_because: str = "",
        in_memory: bool = False,
    ) -> None:
        self.path = path
        self.connection = connection
        self._heard: list[Read] | None = None
        self.readonly_because = readonly_because
        self._in_memory = in_memory  # until something is written, when the file is made of it
        self._changes = Changes()

    @property
    def readonly(self) -> bool:
        return bool(self.readonly_because)

    def __enter__(self) -> Notebook:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; an unfinished transaction is rolled back."""
        self.connection.close()

    def rows(self, sql: str, values: Sequence[Any] = ()) -> list[sqlite3.Row]:
        """All rows a query gives. Raises NotebookError."""
        found = self._fetched(sql, values)
        if self._heard is not None:
            self._heard.append((sql, tuple(values), _digest(found)))
        return found

    def digest(self, sql: str, values: Sequence[Any] = ()) -> bytes:
        """Of the rows a query gives: the same while they are. Raises NotebookError."""
        return _digest(self.rows(sql, values))

    @contextmanager
    def listening(self) -> Iterator[list[Read]]:
        """A list that fills with the queries made meanwhile."""
        heard: list[Read] = []
        before, self._heard = self._heard, heard
        try:
            yield heard
        finally:
            self._heard = before
            if before is not None:
                before += heard

    def _fetched(self, sql: str, values: Sequence[Any]) -> list[sqlite3.Row]:
        with own_errors(self.path):
            try:
                return self.connection.execute(sql, values).fetchall()
            except sqlite3.OperationalError as error:
                if "decode" not in str(error):
                    raise
                # another program put in text of another encoding: show what can be shown of it
                # (not from the start, since a call for each text doubles the time of a list)
                self.connection.text_factory = _text
                return self.connection.execute(sql, values).fetchall()

    def run(self, sql: str, values: Sequence[Any] = ()) -> int:
        """Change something; the id of the row put in. Inside `writing` only.

        Raises NotebookError.
        """
        if not self.connection.in_transaction:
            raise RuntimeError("write inside `with notebook.writing():`")
        with own_errors(self.path):
            return self.connection.execute(sql, values).lastrowid or 0

    def changed(self, table: str, added: bytes | None = None) -> None:
        """Remember that a layer was changed, so that its extent is brought up to date.

        added: the geometry put in; None where something was moved or taken away, so that the
        layer has to be measured anew.
        """
        self._changes.note(table, added)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction: all that is written inside stands, or none of it.

        Raises NotebookReadOnly, NotebookBusy where another program keeps the file for longer
        than the busy timeout, and NotebookError.
        """
        if self.readonly:
            raise NotebookReadOnly(
                f"it is open for reading only, because {self.readonly_because}",
                where=f"notebook {quoted(self.path, 200)}",
                remedy="make a copy of your own with 'backbearing backup' or import its GPX again",
            )
        if self.connection.in_transaction:
            raise RuntimeError("already inside `with notebook.writing():`")
        with own_errors(self.path):
            self.connection.execute("BEGIN IMMEDIATE")
        self._changes = Changes()
        try:
            yield
            with own_errors(self.path):
                self._changes.apply(self.connection)
                self.connection.execute("COMMIT")
        except BaseException:
            self._roll_back()
            raise
        if self._in_memory:
            self._move_to_its_file()

    def _move_to_its_file(self) -> None:
        try:
            _create(self.path, self.connection)
        except FileExistsError as error:
            raise NotebookBusy(
                "another program made it at the same moment, and nothing was written",
                where=f"notebook {quoted(self.path, 200)}",
                remedy="run it again",
            ) from error
        self.close()
        self.connection = _own(self.path, len(schema.MIGRATIONS), readonly=False).connection
        self._in_memory = False

    def _roll_back(self) -> None:
        """Undo what is pending; some errors (a full disk) have undone it already."""
        if self.connection.in_transaction:
            self.connection.execute("ROLLBACK")


def _digest(rows: Sequence[sqlite3.Row]) -> bytes:
    # version 2 writes each value out, whichever of them are one object
    return hashlib.sha256(marshal.dumps([tuple(row) for row in rows], 2)).digest()


def open_notebook(
    path: Path | str, *, create: bool | Literal["once written"] = False, readonly: bool = False
) -> Notebook:
    """Open the notebook at `path`, bringing an older one up to date.

    create: make it, and its folder, where there is none: at once, or as the first transaction
    ends, so that a question which comes to nothing leaves no empty notebook behind.
    readonly: refuse writes (an own notebook may still be repaired after a crash or migrated).
    Raises NotFound where there is none, BadFile where the file is something else,
    NotebookTooNew (the file is left untouched), NotebookBusy, NotebookError.
    """
    path = Path(path)
    if not path.exists():
        if not create:
            raise NotFound(
                f"there is no notebook at {quoted(path, 200)}",
                remedy="'backbearing import FILES' or 'backbearing mark NAME' makes one",
            )
        if create == "once written":
            return _unwritten(path)
        with suppress(FileExistsError):  # another program made it at the same moment: use that
            _create(path)
    _refuse_what_is_none(path)
    because = trust.not_ours(path)
    with own_errors(path):
        # looked at through a connection that cannot write, so that what is refused stays as it is
        looking = sqlite_file.looking(path, writable=not because)
        try:
            version = _known_version(path, looking)
            trust.refuse_odd_tables(path, looking, current=version == len(schema.MIGRATIONS))
            because = because or trust.foreign_code(looking)
            if because:
                return Notebook(path, _distrusted(looking, version), readonly_because=because)
        except BaseException:
            looking.close()
            raise
        looking.close()
        return _own(path, version, readonly)


def _unwritten(path: Path) -> Notebook:
    """An empty notebook in memory, to be moved to its file by the first transaction."""
    with own_errors(path):
        memory = sqlite_file.configured(sqlite3.connect(":memory:", isolation_level=None))
        schema.migrate(memory)
        spatial_functions.register(memory)
        memory.execute("PRAGMA foreign_keys = ON")
    return Notebook(path, memory, in_memory=True)


def _known_version(path: Path, connection: sqlite3.Connection) -> int:
    version = schema.schema_version(connection)
    if version is None:
        raise BadFile(_NOT_A_NOTEBOOK, path=path, remedy=_NAME_ANOTHER)
    if version > len(schema.MIGRATIONS):
        raise NotebookTooNew(
            f"it was written by a newer Backbearing (schema {version}; this one knows "
            f"{len(schema.MIGRATIONS)}) and is left untouched",
            where=f"notebook {quoted(path, 200)}",
            remedy="bring Backbearing up to date",
        )
    return version


def _own(path: Path, version: int, readonly: bool) -> Notebook:
    connection = sqlite_file.connect(path, "rw")
    try:
        spatial_functions.register(connection)
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
        sqlite_file.leave_write_ahead_log(connection)
        if version < len(schema.MIGRATIONS):
            schema.migrate(connection)
        if readonly:
            connection.execute("PRAGMA query_only = ON")
    except BaseException:
        connection.close()
        raise
    return Notebook(path, connection, readonly_because="it was asked to be" if readonly else "")


def _distrusted(connection: sqlite3.Connection, version: int) -> sqlite3.Connection:
    """A stranger's notebook, hardened; an older one as a copy in memory, brought up to date."""
    sqlite_file.distrust(connection)
    if version == len(schema.MIGRATIONS):
        return connection
    memory = sqlite_file.configured(sqlite3.connect(":memory:", isolation_level=None))
    connection.backup(memory)
    connection.close()
    schema.migrate(memory)
    sqlite_file.distrust(memory)
    return memory


def _refuse_what_is_none(path: Path) -> None:
    """Look at the first bytes before SQLite touches the file."""
    if not path.is_file():
        raise BadFile(_NOT_A_NOTEBOOK, path=path, remedy=_NAME_ANOTHER)
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except OSError as error:
        raise NotebookError(
            f"it cannot be read ({error.strerror})",
            where=f"notebook {quoted(path, 200)}",
            remedy="see that you may read it",
        ) from error
    sqlite_file = head[:16] == b"SQLite format 3\x00"
    if not sqlite_file or head[68:72] != tables.APPLICATION_ID.to_bytes(4, "big"):
        raise BadFile(_NOT_A_NOTEBOOK, path=path, remedy=_NAME_ANOTHER)


def _text(value: bytes) -> str:
    return value.decode("utf-8", "replace")


def _create(path: Path, written: sqlite3.Connection | None = None) -> None:
    """Make a notebook in one step, empty or as `written`: whoever looks sees none, or a whole one.

    Raises FileExistsError where there is one already, and NotebookError.
    """
    import tempfile

    where = f"notebook {quoted(path, 200)}"
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")  # mode 0600
        os.close(handle)
    except OSError as error:
        raise NotebookError(
            f"it cannot be made ({error.strerror})",
            where=where,
            remedy="name a folder you may write to",
        ) from error
    temporary = Path(name)
    try:
        with own_errors(path):
            connection = sqlite_file.configured(sqlite3.connect(temporary, isolation_level=None))
            try:
                connection.execute("PRAGMA synchronous = FULL")
                if written is None:
                    schema.migrate(connection)
                else:
                    written.backup(connection)
            finally:
                connection.close()
        place_new(temporary, path)
    finally:
        temporary.unlink(missing_ok=True)


def place_new(temporary: Path, target: Path) -> None:
    """Give a finished file its name without ever overwriting. Raises FileExistsError."""
    try:
        os.link(temporary, target)
    except FileExistsError:
        raise
    except OSError:
        # no hard links here (a memory stick): reserve the name, then take it
        os.close(os.open(target, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        temporary.replace(target)
