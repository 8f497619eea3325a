"""What a person sees: the plan view, and each value as it shows itself."""
