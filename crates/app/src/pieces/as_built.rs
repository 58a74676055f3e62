//! A piece as the frame that stands asks for it.

use review::{Review, Text, built};

use super::{bends, lengths};
use crate::wire::{ShopBuilt, ShopChange};

/// What the frame as built makes of a piece; `None` where it stays as designed.
pub(super) fn of(r: &Review, name: &str, t: &Text) -> Option<ShopBuilt> {
    let b = r.built.as_ref()?;
    let c = b.changes.iter().find(|c| c.piece == name)?;
    let own = b.review.as_ref()?;
    let p = own.cutting.pieces.iter().find(|p| p.name == name)?;
    let unit = t.unit();
    let ends = ["start", "end"].into_iter().zip(&c.ends).filter(|(_, e)| e.changed).map(|(what, e)| {
        // Settings that read alike on the shop's scales may still belong to another line.
        let now = if e.was == e.now { format!("{}, its line off by {}", e.now, t.fine(e.line)) } else { e.now.clone() };
        ShopChange { what: what.to_owned(), was: e.was.clone(), now }
    });
    let bent = c.bends.iter().map(|(k, was, now)| ShopChange {
        what: format!("bend {k}"),
        was: was.clone(),
        now: now.clone(),
    });
    // Both lengths are of one detail here, so that their difference is none of the detail's.
    let longer = t.fine_number(c.longer());
    let longer = match longer.strip_prefix('-') {
        Some(less) => format!("\u{2212}{less} {unit}"),
        None if longer == "0" => String::new(),
        None => format!("+{longer} {unit}"),
    };
    Some(ShopBuilt {
        length: format!("{} {unit}", t.cut(p.lengths.blank)),
        longer,
        lengths: lengths(p, t),
        changes: ends.chain(bent).collect(),
        bends: bends(p, t),
        cut: c.cut,
        doubt: built::rests_on(c).map(|what| match built::unsettled(c) {
            true => format!("Not to be cut yet: it rests on {what}."),
            false => format!("It rests on {what}: measure again before it is cut."),
        }),
    })
}
