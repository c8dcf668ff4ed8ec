"""Pure optimisation: integers in; an answer, a bound and a proof out."""
