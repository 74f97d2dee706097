"""`trees`: say which trees stand around a subject."""

from __future__ import annotations

import click

from backbearing.cli.frame import Session, emit, json_option, pass_session


@click.command(name="trees")
@click.argument("name")
@click.option("--tall", metavar="LENGTH", help="How tall they are, as 12m.")
@click.option("--beyond", metavar="LENGTH", help="Nearer to the subject than this there are none.")
@click.option("--leaf", metavar="MONTHS", help="In leaf, as May-Oct; so by default in the north.")
@click.option("--evergreen", is_flag=True, help="They let no sun through in any month.")
@click.option("--note", metavar="TEXT", default="", help="What they are.")
@click.option("--none", "gone", is_flag=True, help="There are none any more.")
@json_option
@pass_session
def command(
    session: Session,
    name: str,
    tall: str | None,
    beyond: str | None,
    leaf: str | None,
    evergreen: bool,
    note: str,
    gone: bool,
    as_json: bool,
) -> None:
    """Say which trees stand around the subject NAME, or with no option, which are on record.

    They raise terrain of bare ground beyond that distance; a surface model has them in it
    already, and they are never added to one. In leaf they shut the sun out; without leaves it
    comes through 1 to 2 stops down, which is not counted as sun but told. Of the light of sun and
    sky behind them exposures take 1½ stops off without leaves, 2½ half in leaf, 4 in leaf and
    under evergreens, give or take ½ to 1: common practice, no source.

    \b
    Example:
      backbearing trees "winding house" --tall 12m --beyond 15m --leaf May-Oct
    """
    from backbearing.plans.readings import no_trees, put_trees, readings_of
    from backbearing.writers.plain import plain
    from backbearing.writers.readings import trees_text

    said = [tall, beyond, leaf, evergreen or None, note or None]
    if gone and any(each is not None for each in said):
        raise click.UsageError("--none stands alone")
    if not gone and any(each is not None for each in said) and (tall is None or beyond is None):
        raise click.UsageError("say how tall the trees are and where they begin: --tall, --beyond")
    with session.open() as notebook:
        if gone:
            answer = no_trees(notebook, name)
        elif tall is not None and beyond is not None:
            answer = put_trees(
                notebook,
                name,
                tall=tall,
                beyond=beyond,
                leaf=leaf,
                evergreen=evergreen,
                note=note,
            )
        else:
            answer = readings_of(notebook, name)
    emit(as_json, lambda: plain(answer), lambda: trees_text(answer))
