//! Pattern files and three-valued answers.
