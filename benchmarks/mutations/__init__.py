"""Break the program on purpose, one small change at a time, and see which tests notice."""
