//! Changeover plays tennis match footage, stamps points and tags against the footage's own time from the keyboard,
//! keeps score, and turns every number into a list of clips.
//!
//! One way through the house, left to right: `video` shows frames and says which; [`logging`] turns keys into
//! edits; [`record`] keeps them safe; [`facts`] derives what each point means; [`pattern`] asks questions of them;
//! [`evidence`] says how sure one can be; [`summary`] and [`clips`] answer; [`export`] writes, and
//! [`import`] reads what was charted elsewhere. `gui` and [`cli`]
//! stand on top. DEVELOPERS.md has the whole map.

pub mod about;
pub mod cli;
pub mod clips;
pub mod counted;
pub mod cuts;
#[cfg(feature = "video")]
pub mod demo;
pub mod drawing;
pub mod evidence;
pub mod exchange;
pub mod export;
pub mod facts;
pub mod find;
pub mod frames;
#[cfg(feature = "gui")]
pub mod gui;
pub mod import;
pub mod lesson;
pub mod library;
pub mod logging;
#[cfg(feature = "video")]
pub mod making;
pub mod measure;
pub mod near;
pub mod page;
#[cfg(feature = "paint")]
pub mod paint;
pub mod pattern;
pub mod record;
pub mod reel;
pub mod saving;
pub mod search;
pub mod session;
pub mod sheet;
pub mod summary;
pub mod system;
pub mod tennis;
pub mod textfile;
pub mod time;
#[cfg(feature = "video")]
pub mod video;
pub mod voice;
pub mod wording;
