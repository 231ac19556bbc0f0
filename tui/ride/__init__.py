"""One wheel in time: what is asked of it, and what comes of it in words."""
