"""What is no number: states of a meter, findings, work done, refrigerants, plates, facts of the record."""
