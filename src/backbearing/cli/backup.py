"""`backup`: a safe copy of the notebook."""

from __future__ import annotations

from pathlib import Path

import click

from backbearing.cli.frame import Session, pass_session


@click.command()
@click.argument("target", type=click.Path(path_type=Path))
@pass_session
def command(session: Session, target: Path) -> None:
    """Copy the notebook to TARGET, a file that does not exist yet.

    Safe while other programs use the notebook: the copy is whole, and needs no other file
    beside it. Only you may read it (mode 0600). Triggers and indexes that another program put
    into the notebook, for which it is only read, are left out of the copy and named.

    \b
    Example:
      backbearing backup notebook-before-the-trip.gpkg
    """
    from backbearing.notebook.backup import backup
    from backbearing.writers.check import copied

    with session.open(readonly=True) as notebook:
        copy = backup(notebook, target)
        path = notebook.path
    print(copied(path, target, copy.size_bytes, copy.left_out))
