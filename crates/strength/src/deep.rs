//! What takes longer: buckling under each case, natural frequencies.

use frame::{ModesError, Piece, Refined};
use geometry::{DVec3, Segment};
use serde::Serialize;
use shape::Shape;

use crate::build::Built;
use crate::cases::Case;

/// A straight part of a tube as a mode moves it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shaped {
    /// The tube, as the shape counts them.
    pub tube: usize,
    /// Its ends, m.
    pub at: [DVec3; 2],
    /// How they move, m; the largest motion of a node is 1 m.
    pub by: [DVec3; 2],
    /// How they turn, rad.
    pub turn: [DVec3; 2],
}

/// A way to buckle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Buckles {
    /// What the loads must be multiplied with.
    pub factor: f64,
    /// The same with the tubes cut half as fine: how far the cutting matters.
    pub coarse: f64,
    /// The tube with the largest share in the bending that follows, and its share.
    pub tube: (String, f64),
    /// The frame as it gives way, to be drawn.
    #[serde(skip)]
    pub shape: Vec<Shaped>,
}

/// A natural frequency.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Vibrates {
    /// Hz.
    pub frequency: f64,
    /// The same with the tubes cut half as fine.
    pub coarse: f64,
    /// The tubes with the largest shares in its energy.
    pub tubes: Vec<(String, f64)>,
    /// The frame as it swings, to be drawn.
    #[serde(skip)]
    pub shape: Vec<Shaped>,
}

/// Legs shorter than this many times the section's reach are left whole: they are too stout to buckle or ring by themselves.
const STOUT: f64 = 8.0;

/// Parts of other legs, and the angle of a part of a bend, at the finer of both cuttings.
const PARTS: usize = 4;
/// See [`PARTS`].
const ANGLE: f64 = std::f64::consts::FRAC_PI_8;

fn refined(built: &Built, shape: &Shape, coarse: bool) -> Refined {
    let half = if coarse { 2 } else { 1 };
    built.model.refined(|beam, p: &Piece| match p.segment {
        Segment::Arc { sweep, .. } => ((sweep / ANGLE).ceil() as usize).max(1).div_ceil(half),
        Segment::Leg { length, .. } => {
            let reach = shape.tubes[built.beams[beam].0].outline.reach();
            if length < STOUT * reach { 1 } else { PARTS / half }
        }
    })
}

/// Shares by tube, the largest first.
fn by_tube(built: &Built, shape: &Shape, cut: &Refined, shares: &[f64]) -> Vec<(String, f64)> {
    let mut of = vec![0.0; shape.tubes.len()];
    for (s, &b) in shares.iter().zip(&cut.of) {
        of[built.beams[b].0] += s;
    }
    let mut out: Vec<(String, f64)> = shape.tubes.iter().zip(of).map(|(t, s)| (t.name.clone(), s)).collect();
    out.sort_by(|a, b| b.1.total_cmp(&a.1));
    out
}

/// What a mode does to each part of the cut frame.
fn shaped(built: &Built, cut: &Refined, motions: &[frame::six::Six]) -> Vec<Shaped> {
    let m = &cut.model;
    let one = |(b, of): (&frame::Beam, &usize)| {
        let at = [b.start(), b.end()];
        // A rigid arm joins each end to its node.
        let moves = [0, 1].map(|k| {
            let u = &motions[b.nodes[k]];
            let turn = frame::six::last(u);
            (frame::six::first(u) + turn.cross(at[k] - m.nodes[b.nodes[k]]), turn)
        });
        Shaped { tube: built.beams[*of].0, at, by: moves.map(|x| x.0), turn: moves.map(|x| x.1) }
    };
    m.beams.iter().zip(&cut.of).map(one).collect()
}

/// The least factor at which a case buckles, `None` if none of its loads presses anything.
pub(crate) fn buckling(built: &Built, shape: &Shape, case: &Case) -> Result<Option<Buckles>, ModesError> {
    let run = |coarse: bool| {
        let cut = refined(built, shape, coarse);
        let mut loads = case.loads.clone();
        loads.spread = cut
            .of
            .iter()
            .enumerate()
            .flat_map(|(i, b)| case.loads.spread.iter().filter(move |s| s.0 == *b).map(move |s| (i, s.1)))
            .collect();
        let stays = case.stays.as_ref().unwrap_or(&case.holds);
        let r = frame::buckling_staying(cut.model.clone(), &case.holds, stays, &loads, 1)?;
        Ok::<_, ModesError>((cut, r.modes))
    };
    let (cut, modes) = run(false)?;
    let Some(m) = modes.first() else { return Ok(None) };
    let coarse = run(true)?.1.first().map_or(f64::INFINITY, |m| m.value);
    let tube = by_tube(built, shape, &cut, &m.shares).into_iter().next().unwrap_or_default();
    Ok(Some(Buckles { factor: m.value, coarse, tube, shape: shaped(built, &cut, &m.motions) }))
}

/// Rigid motions have no frequency: six of a floating frame.
const FLOATING: usize = 6;

/// The lowest natural frequencies of the floating frame with what it carries.
pub(crate) fn vibration(built: &Built, shape: &Shape, count: usize) -> Result<Vec<Vibrates>, ModesError> {
    if count == 0 {
        return Ok(Vec::new());
    }
    let run = |coarse: bool| {
        let cut = refined(built, shape, coarse);
        let modes = frame::vibration(cut.model.clone(), &[], count + FLOATING)?;
        Ok::<_, ModesError>((cut, modes))
    };
    let (cut, fine) = run(false)?;
    let coarse = run(true)?.1;
    Ok(fine
        .iter()
        .zip(&coarse)
        .skip(FLOATING)
        .map(|(f, c)| Vibrates {
            frequency: f.value,
            coarse: c.value,
            tubes: by_tube(built, shape, &cut, &f.shares).into_iter().take(3).collect(),
            shape: shaped(built, &cut, &f.motions),
        })
        .collect())
}

/// In words.
pub(crate) fn say(e: &ModesError) -> String {
    match e {
        ModesError::Missed(there, found) => {
            format!("of {there} ways there are only {found} were found, so none is told: please report this design")
        }
        ModesError::Held(_) => "the frame cut finer can't be calculated with".to_owned(),
    }
}
