//! All that the Study page uses of the rest of the window, in one place.

pub use crate::gui::dialogs::save_clips::export;
pub use crate::gui::kit::chooser::when_chosen;
pub use crate::gui::kit::clip_model::{ClipModel, Rows};
pub use crate::gui::kit::export_menu::{Wanted, offer};
pub use crate::gui::kit::handles::{before_drawing, when_moved};
pub use crate::gui::kit::job::off_loop;
pub use crate::gui::kit::small_pictures::show as show_picture;
pub use crate::gui::kit::words::{capital, named};
pub use crate::gui::log::point_row::{Row, fill_row, row_of, row_widget};
pub use crate::gui::picture::drawn::show_drawings;
pub use crate::gui::picture::transport::Transport;
pub use crate::gui::picture::view::FootageView;
pub use crate::gui::ribbon::scale;
