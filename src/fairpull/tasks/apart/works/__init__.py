"""Works that may run apart, one file each: ``work(given, tell) -> result``, plain data in and out."""
