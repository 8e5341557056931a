//! The dialogs: one file each. A dialog takes the model and the window that it stands over; what it wants done it asks of
//! the model. None knows the window that it stands over.

#[cfg(test)]
mod asking_tests;
pub mod builder;
mod builder_form;
#[cfg(test)]
mod builder_tests;
pub mod correct;
#[cfg(test)]
pub(super) mod correct_tests;
pub mod details;
mod error;
pub mod explain;
#[cfg(test)]
mod explain_tests;
pub mod export;
pub mod go_to;
mod guide;
mod hearing;
pub mod help;
mod order_fields;
pub mod plan;
mod player_fields;
pub mod practice;
pub mod preferences;
pub mod reaction;
mod remap;
