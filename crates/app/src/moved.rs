//! How a load moves the frame.

use geometry::DVec3;
use packet::sheet::strength::motion;
use review::Review;
use serde::Serialize;

/// A tube, and where it goes.
#[derive(Clone, Debug, Serialize)]
pub struct MovedTube {
    /// Its name.
    pub name: String,
    /// Places along its centreline, m.
    pub line: Vec<[f64; 3]>,
    /// By how much each moves, m, as it is: not enlarged.
    pub moved: Vec<[f64; 3]>,
    /// At each place, how near the tube comes to yielding, 1 being there: its largest use, the same all along it.
    #[serde(rename = "use")]
    pub used: Vec<f64>,
}

/// A frame under a load.
#[derive(Clone, Debug, Serialize)]
pub struct MovedFrame {
    /// The load.
    pub load: String,
    /// How many times motions are best drawn.
    pub scale: f64,
    /// Every tube, stretch by stretch.
    pub tubes: Vec<MovedTube>,
}

/// How a load moves the frame; `None` if there is no such load.
pub fn moved(r: &Review, load: &str) -> Option<MovedFrame> {
    let c = r.strength.cases.iter().find(|c| c.name == load)?;
    let tubes = r
        .strength
        .bars
        .iter()
        .map(|b| {
            let name = &r.shape.tubes[b.tube].name;
            let (still, gone) = (motion::axis(r, c, b, 0.0), motion::axis(r, c, b, 1.0));
            let used = c.used.iter().find(|u| u.tube == *name).map_or(0.0, |u| u.stress.utilisation);
            let moved: Vec<DVec3> = gone.iter().zip(&still).map(|(g, s)| *g - *s).collect();
            MovedTube {
                name: name.clone(),
                line: still.iter().map(|p| p.to_array()).collect(),
                moved: moved.iter().map(|p| p.to_array()).collect(),
                used: vec![used; still.len()],
            }
        })
        .collect();
    Some(MovedFrame { load: load.to_owned(), scale: motion::times(r, c), tubes })
}
