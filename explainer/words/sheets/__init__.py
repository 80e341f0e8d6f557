"""What the handout and the rule card say."""
