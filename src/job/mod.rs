//! Job files.
