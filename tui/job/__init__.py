"""The job as typed, its file, what it asks, and its answer."""
