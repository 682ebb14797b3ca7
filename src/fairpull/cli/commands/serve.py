"""fairpull serve: the bench book as pages, on this machine or in the shop."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from textwrap import fill
from typing import Annotated

import typer

from fairpull.cli import options, screen
from fairpull.terms.errors import Fault, ValueRefused

DEFAULT_BOOK = Path("book")
LOOPBACK = "127.0.0.1"
PLAIN = (
    "On this network everything goes unencrypted, the password too. Use it in a shop network that you trust, or put a "
    "proxy with TLS before it: docs/serve.md says how."
)


def serve(
    port: Annotated[int, typer.Option(help="Port to listen on; 0 takes any that is free.")] = 8700,
    host: Annotated[str, typer.Option(help="Address to open to the shop's network; it needs a password.")] = LOOPBACK,
    name: Annotated[
        list[str] | None, typer.Option("--name", help="Another name the pages are reached by. Repeatable.")
    ] = None,
    behind_proxy: Annotated[
        bool, typer.Option("--behind-proxy", help="A proxy on this machine hands requests on; it needs a password.")
    ] = False,
    watch: Annotated[Path | None, typer.Option(help="Folder whose new logs are taken in as they come.")] = None,
    build: Annotated[str, typer.Option(help="With --watch: what is fitted now.")] = "",
    against: Annotated[str, typer.Option(help="With --watch: build to judge against.")] = "",
    open_: Annotated[bool, typer.Option("--open/--no-open", help="Open a browser, if on a terminal.")] = True,
    book: options.Book = "",
) -> None:
    """Open the book as pages, until Ctrl-C."""
    from fairpull.tasks.bench.door import book_folder
    from fairpull.tasks.shop.passwords import need_passwords
    from fairpull.web.app import create_app
    from fairpull.web.guard import server
    from fairpull.web.shop import Shop

    asked_names = _names(name or ())
    folder = book_folder(book) or DEFAULT_BOOK
    open_to_network = not server.is_this_machine(host)
    if open_to_network or behind_proxy:
        need_passwords(folder)
    with server.bind(host, port) as bound:
        taken = server.port_of(bound)
        own_names = server.names_for(host) if open_to_network else ()
        shop = Shop(
            folder,
            port=taken,
            names=(*asked_names, *own_names),
            open_to_network=open_to_network,
            behind_proxy=behind_proxy,
        )
        try:
            if watch is not None:
                shop.watch(watch, build, against)
            for line in _addresses(host, taken, own_names, open_to_network):
                screen.say(line)
            sys.stdout.flush()
            server.run(create_app(shop), bound, lambda: _show(host, taken) if open_ else None)
        except KeyboardInterrupt:
            pass
        finally:
            shop.close()
    screen.tell("serve ended")


def _names(given: Sequence[str]) -> tuple[str, ...]:
    """Names of options, refused where a browser could not ask for them."""
    from fairpull.web.guard.hosts import place_of

    remedy = "write a host name or an address, with a port where it is not the server's, e.g. bench.shop:8443"
    faults = [Fault("no-host-name", "--name", repr(text), remedy) for text in given if place_of(text) is None]
    if faults:
        raise ValueRefused(faults)
    return tuple(given)


def _addresses(host: str, port: int, names: Sequence[str], open_to_network: bool) -> list[str]:
    """What to type into a browser, and what to know before."""
    if not open_to_network:
        return [f"pages:  {_address(host, port)}", "stop with Ctrl-C"]
    reached = [f"phone:  {_address(name, port)}" for name in names]
    return [*reached, fill(f"caution: {PLAIN}", screen.look()["width"]), "stop with Ctrl-C"]


def _address(host: str, port: int) -> str:
    bare = host.strip("[]")
    return f"http://[{bare}]:{port}/" if ":" in bare else f"http://{bare}:{port}/"


def _show(host: str, port: int) -> None:
    """Open a browser, where there is somebody to look at it."""
    if not sys.stdout.isatty():
        return
    import threading
    import webbrowser

    shown = host if host.strip("[]") not in ("0.0.0.0", "::") else LOOPBACK
    threading.Thread(target=webbrowser.open, args=(_address(shown, port),), daemon=True).start()
