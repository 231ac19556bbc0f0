"""The job as typed: file, fields, case and answer."""
