"""What is the apple's, read from the tables of the fruit; no other room knows it but from here."""
