"""The screen of the records: found as one types, opened, compared, taken up for the next rider."""
