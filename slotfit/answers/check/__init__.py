"""Will this part work here, and what would make it: verdicts per receptacle, without the solver."""
