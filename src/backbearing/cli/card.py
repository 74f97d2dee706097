"""`card`: field cards to print, one subject on record in 60 seconds."""

from __future__ import annotations

from pathlib import Path

import click

from backbearing.cli.frame import say


@click.command(name="card")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write a page to print here (HTML), four cards to a sheet. Default: plain text.",
)
@click.option("--paper", type=click.Choice(["A4", "Letter"], case_sensitive=False), default="A4")
@click.option("--overwrite", is_flag=True, help="Replace the file where it already stands.")
def command(out: Path | None, paper: str, overwrite: bool) -> None:
    """Print a field card: blanks in a fixed order for what is worth writing down on the spot.

    Typed or dictated later, one line a subject, the records are read by 'backbearing import'.

    \b
    Example:
      backbearing card --out cards.html
      backbearing card
    """
    from backbearing.writers.card import card_html, card_text

    if out is None:
        print(card_text())
        return
    from backbearing.writers.files import write_atomically

    write_atomically(out, card_html(paper), overwrite=overwrite)
    say(f"print {out} at full size and cut it in four")
