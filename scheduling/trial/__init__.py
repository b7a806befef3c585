"""A copy of a shop's plan with changes: tried out, shown as differences, published or dropped."""
