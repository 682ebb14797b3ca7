"""Commands, one file each."""
