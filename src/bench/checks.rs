//! Is it clean? The sign-off checks.
