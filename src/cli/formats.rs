//! The formats of exports as values of the command line.

use clap::ValueEnum;
use clap::builder::PossibleValue;

use crate::export::{Format, PointFormat};

impl ValueEnum for Format {
    fn value_variants<'a>() -> &'a [Self] {
        &Self::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.name()).help(self.words()))
    }
}

impl ValueEnum for PointFormat {
    fn value_variants<'a>() -> &'a [Self] {
        &Self::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(PossibleValue::new(self.name()).help(self.words()))
    }
}
