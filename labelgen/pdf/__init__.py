"""Draw, read back, check: ``PageLayout`` -> PDF bytes -> findings. Drawing decides nothing."""
