"""What a run keeps on disk for the next one."""
