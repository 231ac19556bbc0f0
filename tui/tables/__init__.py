"""Tables of any file: read, clarified by questions, converted to numbers."""
