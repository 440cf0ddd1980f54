"""Does any test notice? The core is changed in one place at a time, and the tests that reach the place are run."""
