"""The records screen: search as one types, open, compare, start a job for the next rider."""
