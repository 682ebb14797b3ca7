"""Apart: long or risky work runs in a process of its own, under limits, with progress, and can be cancelled."""
