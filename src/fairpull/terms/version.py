"""The code's version, stored with every result."""

VERSION = "0.1.0"
