"""One file a page; no page knows another."""

from fairpull.web.pages import channels, keeping, log_in, pull, settings

PAGES = (pull.router, settings.router, channels.router, keeping.router, log_in.router)
"""In the order in which addresses are tried."""
