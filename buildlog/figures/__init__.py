"""What a figure is: units, numbers, values, labels, and the rule by which two figures agree."""
