"""The demo jobs, as packaged data. Everything in them is invented."""
