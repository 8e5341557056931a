//! What a talk may hold. A stranger's lesson cannot make the program slow, nor open a file outside the lesson's folder as a voice.

use super::model::{Deed, Piece, Take, Talk};
use crate::lesson::sound::{MOST_TITLE, PACES, Sound, clip, count, footage, letters, shape, unfit};
use crate::record::footage::is_inside;
use crate::time::MatchTime;

/// The longest talk.
pub const LONGEST_TALK: MatchTime = MatchTime::from_secs(3 * 3600);
/// The most takes of a talk.
pub const MOST_TAKES: usize = 500;
/// The most pieces of a talk.
pub const MOST_PIECES: usize = 2_000;
/// The most actions of a take.
pub const MOST_ACTIONS: usize = 20_000;
/// The most clips that a take shows.
const MOST_SHOWN: usize = 2_000;

/// A whole talk.
pub fn talk(talk: &Talk) -> Sound {
    count("talk.takes", talk.takes.len(), "takes", MOST_TAKES)?;
    count("talk.pieces", talk.pieces.len(), "pieces", MOST_PIECES)?;
    if talk.pieces.is_empty() {
        return unfit("talk.pieces".into(), &"nothing", &"at least one piece");
    }
    talk.takes.iter().enumerate().try_for_each(|(n, t)| take(&format!("talk.takes[{n}]"), t))?;
    let pieces = talk.pieces.iter().enumerate();
    pieces.clone().try_for_each(|(n, p)| piece(&format!("talk.pieces[{n}]"), p, &talk.takes))?;
    match talk.length() {
        long if long > LONGEST_TALK => {
            unfit("talk.pieces".into(), &long, &format_args!("at most {LONGEST_TALK}"))
        }
        _ => Ok(()),
    }
}

fn piece(at: &str, piece: &Piece, takes: &[Take]) -> Sound {
    let Some(take) = takes.get(piece.take) else {
        return unfit(format!("{at}.take"), &piece.take, &format_args!("a take, less than {}", takes.len()));
    };
    let end = take.voice.duration;
    if piece.from >= piece.to || piece.to > end {
        let found = format!("{} to {}", piece.from, piece.to);
        return unfit(at.into(), &found, &format_args!("a part of its take, which lasts {end}"));
    }
    Ok(())
}

fn take(at: &str, take: &Take) -> Sound {
    let voice = format!("{at}.voice");
    footage(&voice, &take.voice)?;
    if !is_inside(&take.voice.file) {
        let allowed = "a file in the lesson's folder or below it";
        return unfit(format!("{voice}.file"), &take.voice.file, &allowed);
    }
    count(&format!("{at}.clips"), take.clips.len(), "clips", MOST_SHOWN)?;
    take.clips.iter().enumerate().try_for_each(|(n, shown)| {
        letters(&format!("{at}.clips[{n}].chapter"), &shown.chapter, MOST_TITLE)?;
        clip(&format!("{at}.clips[{n}].clip"), &shown.clip)
    })?;
    let place = format!("{at}.actions");
    count(&place, take.actions.len(), "actions", MOST_ACTIONS)?;
    if !take.actions.first().is_some_and(|a| a.at == MatchTime::ZERO && matches!(a.does, Deed::Clip { .. })) {
        return unfit(place, &"another beginning", &"first of all a clip that appears at 00:00:00.000");
    }
    let mut last = MatchTime::ZERO;
    for (n, action) in take.actions.iter().enumerate() {
        let place = format!("{place}[{n}]");
        if action.at < last {
            return unfit(
                format!("{place}.at"),
                &action.at,
                &format_args!("not before {last}, the action before it"),
            );
        }
        last = action.at;
        deed(&place, &action.does, take.clips.len())?;
    }
    Ok(())
}

fn deed(at: &str, does: &Deed, clips: usize) -> Sound {
    match does {
        Deed::Clip { clip, .. } if *clip >= clips => unfit(
            format!("{at}.does.clip.clip"),
            clip,
            &format_args!("a clip of the take, less than {clips}"),
        ),
        Deed::Play { pace, .. } if !PACES.contains(&pace.0) => unfit(
            format!("{at}.does.play.pace"),
            &pace.0,
            &format_args!("{} to {}", PACES.start(), PACES.end()),
        ),
        Deed::Draw { shape: drawn, .. } => shape(&format!("{at}.does.draw.shape"), drawn),
        _ => Ok(()),
    }
}
