//! Intervals and comparisons; statistics only.
