"""One command a file; a command knows no other."""
