"""What phrases may say of a verdict, a figure or a study."""
