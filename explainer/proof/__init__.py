"""What is wrong or weak in a study, each at its place: a tool beside the stages."""
