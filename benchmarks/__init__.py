"""Speed as ratios in one run: what fairpull takes, against what the same machine takes for a known thing."""
