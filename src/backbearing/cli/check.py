"""`check`: is the notebook whole, and is it what it should be?"""

from __future__ import annotations

import time

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say


@click.command()
@json_option
@pass_session
@click.pass_context
def command(ctx: click.Context, session: Session, as_json: bool) -> None:
    """Verify the notebook and change nothing.

    Checks the file itself, what the GeoPackage standard requires, every geometry, name and
    value, and that each file kept is still the file that was imported. Exit status 1 where
    there is a fault; remarks are only worth knowing.

    \b
    Example:
      backbearing check
    """
    from backbearing.notebook import integrity
    from backbearing.writers.check import verdict
    from backbearing.writers.plain import plain

    begun = time.monotonic()

    def tell(step: str) -> None:
        if time.monotonic() - begun > 1.0:
            say(f"checking: {step}")

    with session.open(readonly=True) as notebook:
        findings = integrity.check(notebook, progress=tell)
        sound = all(finding.grade != "fault" for finding in findings)
        counts = integrity.counts(notebook) if sound else {}
        path = notebook.path
    emit(
        as_json,
        lambda: {
            "notebook": plain(path),
            "sound": sound,
            "counts": counts,
            "findings": plain(findings),
        },
        lambda: verdict(path, findings, counts),
    )
    if not sound:
        ctx.exit(1)
