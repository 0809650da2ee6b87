"""Findings and the ledger in the formats that people and programs read: one file a format."""
