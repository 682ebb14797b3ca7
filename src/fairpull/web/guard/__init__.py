"""What stands between the network and the pages: each guard is a small ASGI layer of its own."""
