//! A load pushed past yielding, step by step.

use review::{Review, Text};
use serde::Serialize;

/// A step.
#[derive(Clone, Debug, Serialize)]
pub struct StepShown {
    /// The way, the factor on the load and the work, as they are read.
    pub words: [String; 3],
    /// The way in m and the factor, for a curve.
    pub at: [f64; 2],
    /// Both ends of every stretch, m, in the order of `tubes`.
    pub bars: Vec<[[f32; 3]; 2]>,
}

/// A hinge.
#[derive(Clone, Debug, Serialize)]
pub struct HingeShown {
    /// The tube.
    pub tube: String,
    /// Where, in the frame as drawn, m.
    pub place: [f64; 3],
    /// The way in m and the factor at which it came.
    pub at: [f64; 2],
}

/// A load pushed past yielding.
#[derive(Clone, Debug, Serialize)]
pub struct CrushedShown {
    /// The load.
    pub load: String,
    /// What there is to say, a clause each.
    pub words: Vec<String>,
    /// The tube of every stretch.
    pub tubes: Vec<String>,
    /// The steps.
    pub steps: Vec<StepShown>,
    /// Hinges, in the order in which they came.
    pub hinges: Vec<HingeShown>,
}

/// A load pushed past yielding; `None` if it is none, or was not pushed yet.
pub fn crushed(r: &Review, load: &str) -> Option<CrushedShown> {
    let t = Text::new(&r.shape.design);
    let c = r.strength.cases.iter().find(|c| c.name == load)?;
    let x = c.crushed.as_ref()?;
    let single = |p: geometry::DVec3| [p.x as f32, p.y as f32, p.z as f32];
    let steps = x.steps.iter().map(|s| StepShown {
        words: [t.fine(s.travel), format!("{:.2}", s.factor), t.energy(s.work)],
        at: [s.travel, s.factor],
        bars: s.bars.iter().map(|b| b.map(single)).collect(),
    });
    let hinges =
        x.hinges.iter().map(|h| HingeShown { tube: h.tube.clone(), place: h.at.to_array(), at: [h.travel, h.factor] });
    Some(CrushedShown {
        load: load.to_owned(),
        words: review::pushed(&t, c, x),
        tubes: x.bars.iter().map(|&k| r.shape.tubes[k].name.clone()).collect(),
        steps: steps.collect(),
        hinges: hinges.collect(),
    })
}
