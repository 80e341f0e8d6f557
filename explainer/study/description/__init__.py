"""What ``study.yaml`` may say: one frozen model per block, each key explained where it stands."""
