"""One file for each command's job: input, output and order of the steps."""
