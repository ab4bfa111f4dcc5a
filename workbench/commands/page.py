"""The command `halfshade page`: the landowner's page on the own machine."""

from pathlib import Path

import click

from workbench.output import print_note


@click.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--port", type=click.IntRange(0, 65535), metavar="N", help="Port; 0 takes any free one. Default 8421.")
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option(
    "--address",
    default="127.0.0.1",
    show_default=True,
    metavar="A",
    help="Where to listen. Any other address than this machine's own needs --password-file.",
)
@click.option(
    "--password-file",
    type=click.Path(path_type=Path),
    metavar="F",
    help="File whose first line is the password that the page asks for.",
)
def page(file: Path | None, *, port: int | None, no_browser: bool, address: str, password_file: Path | None) -> None:
    """Open FILE as a page in the browser: rows that grow, sliders, and what pays.

    The page is served by this machine to this machine alone and asks nothing of the internet. Without FILE it opens
    the packaged example. Ctrl-C stops it.
    """
    from workbench.page.serve import DEFAULT_PORT, Place, is_loopback, password_for, serve  # noqa: PLC0415 - sockets

    password = password_for(address, password_file)
    if not is_loopback(address):
        print_note("the password and the plan cross the network unencrypted: use this only in a network you trust")
    place = Place(address, DEFAULT_PORT if port is None else port, port is not None, password)
    serve(file, place, browser=not no_browser)
