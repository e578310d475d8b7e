"""The command line: thin doors that read words, call one function and print."""
