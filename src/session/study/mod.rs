//! Asking questions of matches: what can be chosen, what is asked, and the points behind every number of an answer.

pub mod asking;
pub mod facets;
pub mod found;
pub mod spot;
