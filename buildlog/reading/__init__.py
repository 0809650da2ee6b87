"""From a raw file to what an author wrote, with exact positions."""
