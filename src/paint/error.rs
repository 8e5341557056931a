//! Why nothing was painted.

/// Why a picture could not be painted.
#[derive(Debug, thiserror::Error)]
pub enum PaintError {
    /// The drawing library refused something.
    #[error("the picture could not be painted: {0}")]
    Cairo(#[from] cairo::Error),
    /// The library that writes PNG refused something.
    #[error("the picture could not be written as PNG: {0}")]
    Png(#[from] cairo::IoError),
    /// The pixels are somebody else's for the moment.
    #[error("the picture's pixels could not be read: {0}")]
    Borrowed(#[from] cairo::BorrowError),
    /// There are fewer pixels than the size says.
    #[error("a picture of {width} × {height} has {found} bytes of pixels, fewer than it needs")]
    TooFew {
        /// Its width.
        width: u32,
        /// Its height.
        height: u32,
        /// Bytes found.
        found: usize,
    },
    /// No pixels at all, or more than a picture can have.
    #[error("a picture of {width} × {height} pixels cannot be painted; each side must have 1 to 32,767")]
    Size {
        /// Its width.
        width: u32,
        /// Its height.
        height: u32,
    },
    /// SVG or PDF came out empty.
    #[error("the picture could not be written: {0}")]
    Stream(std::io::Error),
}
