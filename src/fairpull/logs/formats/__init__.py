"""One file for each log format; each offers NAME, sniff and load."""
