"""The constraint solver: a model of the weekend for CP-SAT; the only home of ortools."""
