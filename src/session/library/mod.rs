//! The library in the window, without a toolkit: its `folders`, the clips that a search `finds`, and `marking` one in its record.

pub mod finds;
mod folders;
pub mod marking;

pub use folders::cache_file;
