//! What several widgets and dialogs use. Nothing here knows the window or a dialog.

pub mod chooser;
pub mod clip_model;
pub mod confirm;
pub mod dialog;
pub mod export_menu;
pub mod fields;
pub mod focus;
pub mod handles;
pub mod job;
pub mod keyboard;
pub mod markdown;
pub mod pages;
pub mod picker;
pub mod pictures;
pub mod progress;
pub mod recent;
pub mod small_pictures;
pub mod words;
