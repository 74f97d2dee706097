"""`kit`: emulsions, cameras, lenses, shutters and holders on record."""

from __future__ import annotations

from pathlib import Path

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session, say


@click.group(name="kit")
def command() -> None:
    """Keep what you photograph with: a file you edit, read into the notebook.

    \b
    Example:
      backbearing kit blank > kit.toml
      backbearing kit take kit.toml
      backbearing kit list
    """


@command.command(name="blank")
def blank() -> None:
    """Print a kit file to start from, with a remark on each line that needs one.

    \b
    Example:
      backbearing kit blank > kit.toml
    """
    from backbearing.writers.kit import BLANK

    print(BLANK, end="")


@command.command(name="take")
@click.argument("file", type=click.Path(path_type=Path))
@json_option
@pass_session
def take(session: Session, file: Path, as_json: bool) -> None:
    """Put the kit of FILE on record, all of it or none.

    An entry of the same kind and name is replaced; what is on record and not in FILE stays.

    \b
    Example:
      backbearing kit take kit.toml
    """
    from backbearing.plans.kit import take_kit
    from backbearing.writers.kit import taken_text
    from backbearing.writers.plain import plain

    with session.open(create=True) as notebook:
        taken = take_kit(notebook, file)
    emit(as_json, lambda: {"taken": plain(taken)}, lambda: taken_text(taken))


@command.command(name="list")
@json_option
@pass_session
def list_(session: Session, as_json: bool) -> None:
    """List the kit on record.

    \b
    Example:
      backbearing kit list
    """
    from backbearing.plans.kit import kit_on_record
    from backbearing.writers.kit import kit_text
    from backbearing.writers.plain import plain

    with session.open(readonly=True) as notebook:
        kit = kit_on_record(notebook)
    words = kit_text(kit)
    if not words and not as_json:
        say("no kit on record; 'backbearing kit blank' prints a file to start from")
    emit(as_json, lambda: {"kit": plain(kit)}, lambda: words)


@command.command(name="forget")
@click.argument("name")
@pass_session
def forget(session: Session, name: str) -> None:
    """Take a piece of kit off the record; plates keep its name.

    NAME may begin with its kind, as 'lens old one', where two kinds share a name.

    \b
    Example:
      backbearing kit forget "lens cap"
    """
    from backbearing.plans.kit import forget_kit

    with session.open() as notebook:
        what = forget_kit(notebook, name)
    say(f"{what}: off the record")
