"""The invented demo company's days: people, builders, floors, and quotes and orders at every stage."""
