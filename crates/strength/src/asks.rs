//! What advice is asked for: torsion, bending, and every case that was worked out.

use frame::{Frame, Held, Hold, Loads, Response};
use shape::{Finding, Shape};

use crate::advice::{Advice, advice};
use crate::cases::Case;
use crate::findings;
use crate::losses::Needed;
use crate::places::Placed;
use crate::ranking::Aim;
use crate::rig::setup;

/// Advice keeps what every unknown does to every other, for each way in which the frame is held: not beyond this, bytes.
const MOST_MEMORY: f64 = 2e9;

/// Something that a tube may make better.
struct Ask<'a> {
    name: String,
    holds: &'a [Hold],
    loads: &'a Loads,
    /// Whether what moves under the loads counts.
    stiff: bool,
    /// The use that is allowed, if that counts.
    limit: Option<f64>,
}

/// Which tube would help, and which is missed least: in torsion, in bending, under each case.
pub(crate) fn advised(
    shape: &Shape,
    placed: &Placed,
    frame: &Frame,
    cases: &[&Case],
    findings: &mut Vec<Finding>,
) -> Option<Advice> {
    let mut asks: Vec<Ask<'_>> = Vec::new();
    let rigs = setup(shape, placed);
    if let Some(s) = &rigs {
        for (name, (holds, loads)) in [("torsion", &s.torsion), ("bending", &s.bending)] {
            asks.push(Ask { name: name.to_owned(), holds, loads, stiff: true, limit: None });
        }
    }
    for c in cases {
        // What moves because its support or the whole car does says nothing of stiffness.
        let stiff = c.goes.is_none() && c.holds.iter().all(|h| h.by == 0.0);
        let limit = Some(c.wanted.utilisation);
        asks.push(Ask { name: c.name.clone(), holds: &c.holds, loads: &c.loads, stiff, limit });
    }
    let mut all: Vec<(&[Hold], Held<'_>)> = Vec::new();
    for a in &asks {
        if !all.iter().any(|h| h.0 == a.holds)
            && let Ok(h) = frame.held(a.holds)
        {
            all.push((a.holds, h));
        }
    }
    let unknowns = 6.0 * frame.model().nodes.len() as f64;
    if unknowns * unknowns * 8.0 * all.len() as f64 > MOST_MEMORY {
        findings::no_advice(frame.model().nodes.len(), all.len(), findings);
        return None;
    }
    let solved: Vec<(&Ask<'_>, &Held<'_>, Response)> = asks
        .iter()
        .filter_map(|a| {
            let held = &all.iter().find(|h| h.0 == a.holds)?.1;
            Some((a, held, held.solve(std::slice::from_ref(a.loads)).ok()?.remove(0)))
        })
        .collect();
    let aims: Vec<Aim<'_>> = solved
        .iter()
        .map(|(a, held, response)| Aim { name: a.name.clone(), held, response, stiff: a.stiff, limit: a.limit })
        .collect();
    let needed = Needed::by(asks.iter().map(|a| (a.holds, a.loads)));
    advice(shape, &placed.built, frame, &aims, &needed)
}
