//! The first page, without a file.

pub mod page;
