"""Any table out of a file: read, asked about, turned into numbers."""
