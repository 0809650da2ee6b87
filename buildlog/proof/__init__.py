"""Every figure held to what it rests on."""
