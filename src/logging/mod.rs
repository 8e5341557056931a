//! Keys and times in, edits out; no window here.
