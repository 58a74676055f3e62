//! The figures of a design at a glance.

use design::TubeState;
use serde::Serialize;
use shape::bodies::BodyKind;

use crate::Review;

/// A design at a glance, SI.
#[derive(Clone, Debug, Serialize)]
pub struct Summary {
    /// Name of the design.
    pub name: String,
    /// Tubes, twins included, provisional ones too.
    pub tubes: usize,
    /// Pieces to cut.
    pub pieces: usize,
    /// Pieces with bends.
    pub bent: usize,
    /// Plates.
    pub plates: usize,
    /// Tubes whose place is not decided.
    pub provisional: usize,
    /// Tubes that are cut out again.
    pub temporary: usize,
    /// Frame from centre to centre of its joints, with plates and provisional tubes, without temporary ones, kg.
    pub frame_kg: f64,
    /// Pieces as cut, without temporary ones, kg; no plates, no provisional tubes.
    pub cut_kg: f64,
    /// Everything, kg.
    pub laden_kg: f64,
    /// Occupants.
    pub occupants: usize,
    /// Cost of the steel to be bought.
    pub cost: f64,
    /// Its currency.
    pub currency: String,
}

impl Summary {
    /// What `frame_kg` counts, to stand beside it: `centre to centre, with plates`.
    pub fn frame_counts(&self) -> &'static str {
        match (self.plates > 0, self.provisional > 0) {
            (true, true) => "to centres, plates, provisional tubes",
            (true, false) => "centre to centre, with plates",
            (false, true) => "centre to centre, with provisional tubes",
            (false, false) => "centre to centre",
        }
    }

    /// What `cut_kg` counts, to stand beside it.
    pub fn cut_counts(&self) -> &'static str {
        if self.plates > 0 { "pieces as cut, without plates" } else { "pieces as cut" }
    }
}

/// The summary of a review.
pub fn summary(r: &Review) -> Summary {
    let state = |s: TubeState| r.shape.tubes.iter().filter(|t| t.state == s).count();
    Summary {
        name: r.shape.design.name.clone(),
        tubes: r.shape.tubes.len(),
        pieces: r.cutting.pieces.len(),
        bent: r.cutting.pieces.iter().filter(|p| p.bends.is_some()).count(),
        plates: r.shape.plates.len(),
        provisional: state(TubeState::Provisional),
        temporary: state(TubeState::Temporary),
        frame_kg: r.frame.mass,
        // A sum of nothing is -0; here and below.
        cut_kg: r.cutting.pieces.iter().filter(|p| p.state == TubeState::Permanent).map(|p| p.mass).sum::<f64>() + 0.0,
        laden_kg: r.laden.mass,
        occupants: r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Occupant).count(),
        cost: r.stock.cost + 0.0,
        currency: r.shape.design.rack.currency.clone(),
    }
}

/// A skin as it stands in the JSON.
#[derive(Clone, Debug, Serialize)]
pub struct SkinText<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its file.
    pub file: &'a str,
    /// Why it could not be used.
    pub missing: Option<&'a str>,
    /// Triangles.
    pub triangles: usize,
    /// Names of its parts.
    pub parts: Vec<&'a str>,
    /// Whether it holds when the car lies on it.
    pub hard: bool,
    /// Least distance wanted, m.
    pub gap: f64,
    /// Open, crowded and turned edges.
    pub edges: mesh::Edges,
    /// Triangles of its file that were left out.
    pub dropped: mesh::Dropped,
    /// How near each tube comes, the nearest first.
    pub tubes: Vec<&'a shape::skins::Near>,
}

/// The skins of a review, those without a mesh last.
pub fn skins(r: &Review) -> Vec<SkinText<'_>> {
    let design = &r.shape.design;
    let there = r.shape.skins.list.iter().map(|s| SkinText {
        name: &s.name,
        file: &design.skins[s.id].file,
        missing: None,
        triangles: s.surface.triangles().len(),
        parts: s.parts.iter().map(|p| p.name.as_str()).collect(),
        hard: s.hard,
        gap: s.gap,
        edges: s.edges,
        dropped: s.dropped,
        tubes: r.skins.iter().filter(|n| n.skin == s.name).collect(),
    });
    let missing = r.shape.skins.missing.iter().map(|m| {
        let s = &design.skins[m.id];
        SkinText {
            name: &s.name,
            file: &s.file,
            missing: Some(&m.why),
            triangles: 0,
            parts: Vec::new(),
            hard: s.hard,
            gap: s.gap,
            edges: mesh::Edges::default(),
            dropped: mesh::Dropped::default(),
            tubes: Vec::new(),
        }
    });
    there.chain(missing).collect()
}
