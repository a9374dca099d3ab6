"""The running features against a small model, over thousands of random steps."""
