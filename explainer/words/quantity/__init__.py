"""Numbers as people read and hear them: sizes, units, spoken forms, things to compare with."""
