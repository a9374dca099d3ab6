"""Questions and answers between carers and therapists."""
