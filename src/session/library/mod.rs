//! The library in the window, without a toolkit: its `folders`, and the clips that a search `finds`.

pub mod finds;
mod folders;

pub use folders::cache_file;
