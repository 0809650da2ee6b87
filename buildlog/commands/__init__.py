"""The commands: one file each. `buildlog.cli` puts them together."""
