"""All pages together: blocks computed in order, and where an address leads."""
