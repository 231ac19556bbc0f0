"""The job as typed and its file."""
