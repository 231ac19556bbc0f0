"""The workshop's records: every job with every saved revision, in one file or on a server. No screen here."""
