"""The frozen records that every stage passes on to the next."""
