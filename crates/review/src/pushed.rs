//! A load pushed past yielding, in words.

use strength::{Crushed, Solved};

use crate::Text;

/// A factor on a load, to three figures.
fn factor(f: f64) -> String {
    match f.abs() {
        a if a >= 100.0 => format!("{f:.0}"),
        a if a >= 10.0 => format!("{f:.1}"),
        _ => format!("{f:.2}"),
    }
}

/// What there is to say of it, each in a clause without a stop.
pub fn pushed(t: &Text, c: &Solved, x: &Crushed) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(y) = &x.yields {
        out.push(format!("first yields at {} times the load, in {}", factor(y.factor), y.tube));
    }
    let most = match (x.whole, x.rising) {
        (true, false) => "carries at most",
        (true, true) => "carries more and more as far as was asked, there",
        (false, _) => "carries at most, as far as it was followed,",
    };
    out.push(format!("{most} {} times the load, at {}", factor(x.peak[0]), t.fine(x.peak[1])));
    if let Some(b) = c.buckling.as_ref().filter(|b| b.factor < x.peak[0]) {
        out.push(format!("but it buckles at {} times the load: what comes after is not checked", factor(b.factor)));
    }
    if let Some([way, _, work]) = x.curve.last() {
        out.push(format!("taken up by {}: {}; {}", t.fine(*way), t.energy(*work), x.end));
    }
    out.push(match &x.entry {
        Some(e) => format!(
            "tube {} comes to the {} of {} at {} times the load, at {}, with {} taken up",
            e.tube,
            e.part,
            e.person,
            factor(e.factor),
            t.fine(e.travel),
            t.energy(e.work)
        ),
        None => "no tube comes to a person that far".to_owned(),
    });
    for (what, e) in [("energy of the drop", &x.drop), ("published energy", &x.energy)] {
        if let Some((energy, at)) = e {
            let when = at.map_or("not taken up that far".to_owned(), |m| format!("taken up at {}", t.fine(m)));
            out.push(format!("{what} {}: {when}", t.energy(*energy)));
        }
    }
    out
}
