//! Distances of what stands, held against their tolerances.

use design::TubeState;
use serde::Serialize;
use shape::{Role, Shape};

use crate::{Doubt, Fit};

/// What a distance is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Of {
    /// Between two joints along one tube.
    Tube,
    /// Between a place and its twin.
    Width,
    /// Between others that a tape was laid to.
    Tape,
}

/// What follows for a distance. With its uncertainty: within only if 95 % lies within, over only if 95 % lies over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Within.
    Within,
    /// Over.
    Over,
    /// Too near to the tolerance for what was measured.
    TooNear,
    /// No tolerance for such a length.
    NotChecked,
    /// Readings to its places contradict one another.
    Contradicted,
}

/// A distance as designed and as built.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Check {
    /// What it is.
    pub of: Of,
    /// The tube, if it is along one.
    pub tube: Option<String>,
    /// Its two places.
    pub between: [String; 2],
    /// As designed, m.
    pub designed: f64,
    /// As built, m.
    pub built: f64,
    /// Standard deviation, m.
    pub sigma: f64,
    /// ±, m; not finite if there is none.
    pub tolerance: f64,
    /// What follows.
    pub verdict: Verdict,
}

impl Check {
    /// Longer than designed, m.
    pub fn off(&self) -> f64 {
        self.built - self.designed
    }
}

/// Two-sided 95 % of a normal distribution.
pub(crate) const NINETY_FIVE: f64 = 1.959_964;

/// Every distance between neighbouring measured joints along a standing tube, and every width between twins; then what tapes
/// were laid to beside those.
pub(crate) fn checks(shape: &Shape, fit: &Fit, standing: &[usize], tolerance: &dyn Fn(f64) -> f64) -> Vec<Check> {
    let mut out: Vec<Check> = Vec::new();
    let mut push = |of: Of, tube: Option<String>, a: &str, b: &str| {
        let known = |c: &Check| c.between == [a, b] || c.between == [b, a];
        if a == b || out.iter().any(known) {
            return;
        }
        let (Some(p), Some(q), Some(sigma)) = (fit.place(a), fit.place(b), fit.distance_sigma(a, b)) else { return };
        let (designed, built) = (p.designed.distance(q.designed), p.at.distance(q.at));
        let tolerance = tolerance(designed);
        let (off, unsure) = ((built - designed).abs(), NINETY_FIVE * sigma);
        let verdict = match () {
            () if !tolerance.is_finite() => Verdict::NotChecked,
            () if [p, q].iter().any(|x| matches!(x.doubt, Some(Doubt::Contradicted(_)))) => Verdict::Contradicted,
            () if off + unsure <= tolerance => Verdict::Within,
            () if off - unsure > tolerance => Verdict::Over,
            () => Verdict::TooNear,
        };
        out.push(Check { of, tube, between: [a.to_owned(), b.to_owned()], designed, built, sigma, tolerance, verdict });
    };
    for &k in standing {
        let t = &shape.tubes[k];
        let mut along: Vec<(f64, &str)> = shape
            .joints
            .iter()
            .filter_map(|j| {
                let m = j.members.iter().find(|m| m.tube == k)?;
                Some((m.station, fit.place(&j.name)?.name.as_str()))
            })
            .collect();
        along.sort_by(|a, b| a.0.total_cmp(&b.0));
        along.dedup_by(|a, b| a.1 == b.1);
        if let [first, .., last] = along[..] {
            push(Of::Tube, Some(t.name.clone()), first.1, last.1);
        }
        for w in along.windows(2) {
            push(Of::Tube, Some(t.name.clone()), w[0].1, w[1].1);
        }
    }
    for p in &fit.places {
        push(Of::Width, None, &p.name, &format!("{}~", p.name));
    }
    for r in fit.readings.iter().filter(|r| r.tool == design::measured::Tool::Tape) {
        let bare = |k: usize| r.at[k].split(' ').next().unwrap_or_default().to_owned();
        push(Of::Tape, None, &bare(0), &bare(1));
    }
    out
}

/// Whether a tube ends at a joint that is not there yet.
pub(crate) fn remains(shape: &Shape, standing: &[usize], tube: usize) -> bool {
    shape.tubes[tube].state != TubeState::Provisional && !standing.contains(&tube)
}

/// Names of the joints at which what remains meets what stands.
pub(crate) fn meeting<'a>(shape: &'a Shape, standing: &[usize]) -> Vec<&'a str> {
    shape
        .joints
        .iter()
        .filter(|j| {
            let stands = j.members.iter().any(|m| standing.contains(&m.tube));
            stands && j.members.iter().any(|m| m.role != Role::Through && remains(shape, standing, m.tube))
        })
        .map(|j| j.name.as_str())
        .collect()
}
