"""Files read as text with their lines, written whole or not at all, and tables as CSV."""
