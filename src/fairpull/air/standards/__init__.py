"""One file for each correction standard; none knows another."""
