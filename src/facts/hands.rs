//! With which hand each side plays, in doubles that of the partner who serves or receives.

use crate::record::{Hand, MatchInfo};
use crate::tennis::Side;
use crate::tennis::pair::Partner;

/// Who serves, and who of each pair serves and receives.
pub(super) type Who = (Side, Option<Partner>, Option<Partner>);

/// The hand of each side in this point: in doubles, of the partner who serves or receives, where that is known.
pub(super) fn hands(about: &MatchInfo, who: Option<Who>) -> [Option<Hand>; 2] {
    [Side::A, Side::B].map(|side| {
        let first = about.player(side).hand;
        let Some(second) = about.partner(side) else { return first };
        let who = who.and_then(|(server, s, r)| if server == side { s } else { r });
        match who {
            Some(Partner::First) => first,
            Some(Partner::Second) => second.hand,
            None => first.filter(|h| second.hand == Some(*h)),
        }
    })
}
