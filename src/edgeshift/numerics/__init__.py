"""Arrays only: numpy and scipy in, arrays and small tuples out. No files, no words, no records."""
