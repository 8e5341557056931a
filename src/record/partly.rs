//! A point of which only a part was seen: which of its shots is the serve, and who struck the first one that was logged.

use super::model::Point;
use crate::tennis::Side;

impl Point {
    /// Whether shot `n`, from 0, is the serve in play: of a point joined late the serve was not seen.
    pub const fn is_serve(&self, n: usize) -> bool {
        n == 0 && !self.joined_late
    }

    /// Who struck the first logged shot, if `server` served: of a point joined late, who was seen to strike it.
    pub const fn first_striker(&self, server: Option<Side>) -> Option<Side> {
        if self.joined_late { self.first_by } else { server }
    }
}
