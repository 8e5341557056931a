//! One file per format.
