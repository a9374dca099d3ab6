"""How clinics, therapists, families, carers and groups join."""
