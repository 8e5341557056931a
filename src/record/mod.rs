//! The record of a match and what keeps it safe.
