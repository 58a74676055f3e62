//! Curves and their chains as lines for the screen.

use geometry::{Chain, DVec3};
use review::{Review, Text};

use super::rows::chain;
use crate::wire::CurveRow;

/// Steps along a curve: finer than the eye tells on a screen.
const STEPS: u32 = 160;

/// Every curve, its mirror image behind it.
pub fn rows(r: &Review, t: &Text) -> Vec<CurveRow> {
    let mut out = Vec::new();
    for (k, d) in r.curves.iter().enumerate() {
        let (c, Ok(line)) = (&r.shape.design.curves[d.id], &d.line) else { continue };
        let bent = r.bent.as_ref().and_then(|all| all.get(k)).and_then(|b| b.as_ref().ok());
        let tried = bent.and_then(|b| Some((b, b.chain()?)));
        let made = tried.and_then(|(b, x)| Chain::new(&x.corners, &vec![b.limits.radius; x.bends]).ok());
        let at = |i: u32| line.place(line.length() * f64::from(i) / f64::from(STEPS)).to_array();
        let row = CurveRow {
            name: c.name.clone(),
            line: (0..=STEPS).map(at).collect(),
            chain: made.as_ref().map_or_else(Vec::new, chain),
            worst: tried.map(|(_, x)| [x.worst.curve.to_array(), x.worst.chain.to_array()]),
            off: tried.map_or_else(String::new, |(_, x)| t.fine(x.deviation)),
            over: tried.is_some_and(|(b, x)| x.deviation > b.within),
        };
        let twin = c.mirror.then(|| mirrored(&row));
        out.push(row);
        out.extend(twin);
    }
    out
}

fn mirrored(row: &CurveRow) -> CurveRow {
    let flip = |p: &[f64; 3]| (DVec3::from(*p) * DVec3::new(1.0, -1.0, 1.0)).to_array();
    CurveRow {
        name: format!("{}~", row.name),
        line: row.line.iter().map(flip).collect(),
        chain: row.chain.iter().map(flip).collect(),
        worst: row.worst.map(|w| w.map(|p| flip(&p))),
        off: row.off.clone(),
        over: row.over,
    }
}
