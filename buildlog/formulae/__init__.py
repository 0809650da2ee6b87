"""The formula that ran, read from its function and printed."""
