//! Body measures of the US Army's survey of 2012 (ANSUR II: 4082 men, 1986 women; Gordon et al., NATICK/TR-15/007),
//! worked out from its public data files: unweighted, linear between order statistics.

use design::{Sex, person_at};

/// The 5th, 50th and 95th percentile of men, then of women, m.
type Row = [[f64; 3]; 2];

const SITTING_HEIGHT: Row = [[0.860, 0.918, 0.977], [0.803, 0.857, 0.912]];
const KNEE_HEIGHT: Row = [[0.509, 0.553, 0.602], [0.469, 0.510, 0.557]];
const BUTTOCK_KNEE: Row = [[0.569, 0.617, 0.669], [0.541, 0.589, 0.646]];
const FOOT: Row = [[0.250, 0.271, 0.293], [0.226, 0.246, 0.268]];
const HEAD: Row = [[0.188, 0.200, 0.211], [0.178, 0.190, 0.202]];
const BIACROMIAL: Row = [[0.384, 0.415, 0.447], [0.335, 0.365, 0.396]];
const BIDELTOID: Row = [[0.459, 0.509, 0.567], [0.406, 0.450, 0.499]];
const HIPS: Row = [[0.333, 0.378, 0.431], [0.348, 0.397, 0.456]];
const CHEST_DEPTH: Row = [[0.211, 0.253, 0.298], [0.205, 0.245, 0.296]];
const ABDOMEN_DEPTH: Row = [[0.200, 0.251, 0.320], [0.184, 0.227, 0.285]];
const THIGH_CLEARANCE: Row = [[0.157, 0.180, 0.207], [0.145, 0.167, 0.191]];

/// A seated person's measures, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Seat to crown.
    pub sitting_height: f64,
    /// Sole to the top of the knee.
    pub knee_height: f64,
    /// Back of the buttock to the front of the knee.
    pub buttock_knee: f64,
    /// Heel to toe.
    pub foot: f64,
    /// Brow to the back of the head.
    pub head: f64,
    /// Breadth between the tips of the shoulder blades.
    pub biacromial: f64,
    /// Breadth over the upper arms at the shoulders.
    pub bideltoid: f64,
    /// Breadth over the hips.
    pub hips: f64,
    /// Depth of the chest.
    pub chest_depth: f64,
    /// Depth of the abdomen.
    pub abdomen_depth: f64,
    /// Seat to the top of the thigh.
    pub thigh_clearance: f64,
}

/// Where a value stands among three percentiles: -1 at the 5th, 0 at the 50th, 1 at the 95th, straight between and on.
fn place([low, middle, high]: [f64; 3], value: f64) -> f64 {
    if value < middle { (value - middle) / (middle - low) } else { (value - middle) / (high - middle) }
}

/// The value at such a place.
fn at([low, middle, high]: [f64; 3], place: f64) -> f64 {
    middle + place * if place < 0.0 { middle - low } else { high - middle }
}

/// The place of the 1st and 99th percentile: the normal deviates 2.326 over 1.645.
const EDGE: f64 = 1.414;

/// The measures of a person of a stature and mass.
pub fn measures(sex: Sex, stature: f64, kg: f64) -> Measures {
    let s = sex as usize;
    let known = [5.0, 50.0, 95.0].map(|p| person_at(sex, p));
    let (tall, heavy) = (known.map(|k| k.0), known.map(|k| k.1));
    // Beyond the survey everything grows in proportion.
    let tall_at = place(tall, stature).clamp(-EDGE, EDGE);
    let taller = stature / at(tall, tall_at);
    let heavy_at = place(heavy, kg).clamp(-EDGE, EDGE);
    let heavier = (kg / at(heavy, heavy_at)).sqrt();
    let length = |row: Row| at(row[s], tall_at) * taller;
    let girth = |row: Row| at(row[s], heavy_at) * heavier;
    Measures {
        sitting_height: length(SITTING_HEIGHT),
        knee_height: length(KNEE_HEIGHT),
        buttock_knee: length(BUTTOCK_KNEE),
        foot: length(FOOT),
        head: length(HEAD),
        biacromial: length(BIACROMIAL),
        bideltoid: girth(BIDELTOID),
        hips: girth(HIPS),
        chest_depth: girth(CHEST_DEPTH),
        abdomen_depth: girth(ABDOMEN_DEPTH),
        thigh_clearance: girth(THIGH_CLEARANCE),
    }
}
