//! The questions a coach asks, as tables whose every cell is a clip list.
