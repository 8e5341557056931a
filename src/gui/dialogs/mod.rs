//! The dialogs: one file each. A dialog gets the model and its parent window. It asks the model for what it needs and knows
//! nothing about the parent.

pub mod about;
#[cfg(test)]
mod asking_tests;
pub mod builder;
mod builder_form;
#[cfg(test)]
mod builder_tests;
pub mod correct;
mod correct_end;
mod correct_fields;
mod correct_now;
mod correct_point;
#[cfg(test)]
pub(super) mod correct_tests;
mod court_file;
pub mod details;
mod error;
pub mod explain;
#[cfg(test)]
mod explain_tests;
pub mod export;
mod export_lesson;
pub mod go_to;
mod guide;
mod hearing;
pub mod help;
#[cfg(test)]
mod list_tests;
mod made;
#[cfg(test)]
mod made_tests;
mod order_fields;
pub mod plan;
mod player_fields;
pub mod practice;
pub mod preferences;
pub mod reaction;
mod remap;
pub mod save_clips;
mod saving_as;
pub mod sources;
#[cfg(test)]
mod sources_tests;
