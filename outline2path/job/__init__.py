"""A job -> a plan: the steps in order, checked as a whole, and the report."""
