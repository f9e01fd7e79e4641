"""One module per command: open, call one library function, print."""
