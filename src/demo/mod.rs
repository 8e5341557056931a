//! The simulated match: play, pictures, sound, truth.
