"""The shop's loggers: one file each, every layout made up for this demo."""
