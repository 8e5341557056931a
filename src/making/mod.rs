//! What is made of a lesson or of clips: one video, a page, a printed sheet, a file for each clip. The command line and the window
//! make the same, by these functions.
//!
//! `source` is a lesson with its footage, opened once; `people` says whom it names; `grounds` where the camera was; `video`, `page`,
//! `sheet` and `clips` make one thing each; `order` is any of them, as a dialog asks for it, at a `place` where nothing is yet.

mod clips;
mod error;
mod grounds;
mod order;
mod page;
mod people;
mod place;
mod sheet;
mod source;
mod video;

pub use clips::{Ends, Film, Made, Trimmers, Unreadable, check_room, cut, ends, opened};
pub use error::MakingError;
pub use grounds::Grounds;
pub use order::{Done, Order, Stated, cut_clips, stated_clips};
pub use page::{make_page, plan_page};
pub use people::people;
pub use place::unused;
pub use sheet::{check_sheet, sheet_of_lesson, stills, write_sheet};
pub use source::{Source, Watch};
pub use video::{container, plan_video, video_words};
