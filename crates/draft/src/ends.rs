//! Ends of lines that are meant to be at one place.

use geometry::{DVec3, SAME_PLACE};
use rustc_hash::FxHashMap;

use crate::tube::{MEANT, Tube};
use crate::{Options, Told, count};

/// Places, each the first of those nearer to it than a tolerance.
pub(crate) struct Places {
    within: f64,
    cells: FxHashMap<[i64; 3], Vec<usize>>,
    /// Where they are.
    pub at: Vec<DVec3>,
}

impl Places {
    pub fn new(within: f64) -> Places {
        Places { within, cells: FxHashMap::default(), at: Vec::new() }
    }

    fn cell(&self, p: DVec3) -> [i64; 3] {
        (p / self.within).floor().to_array().map(|v| v as i64)
    }

    /// The nearest place that is near enough.
    pub fn find(&self, p: DVec3) -> Option<usize> {
        let c = self.cell(p);
        let mut best: Option<(f64, usize)> = None;
        for x in -1..=1 {
            for y in -1..=1 {
                for z in -1..=1 {
                    for &i in self.cells.get(&[c[0] + x, c[1] + y, c[2] + z]).map_or(&[][..], |v| v) {
                        let d = self.at[i].distance(p);
                        if d <= self.within && best.is_none_or(|b| d < b.0) {
                            best = Some((d, i));
                        }
                    }
                }
            }
        }
        best.map(|b| b.1)
    }

    /// That place, or a new one.
    pub fn add(&mut self, p: DVec3) -> usize {
        self.find(p).unwrap_or_else(|| self.insert(p))
    }

    /// A new place, however near to others.
    pub fn insert(&mut self, p: DVec3) -> usize {
        let i = self.at.len();
        self.at.push(p);
        self.cells.entry(self.cell(p)).or_default().push(i);
        i
    }
}

/// Brings ends that are nearer than the tolerance to the mean of them; with symmetry, its images to images.
pub(crate) fn merge(tubes: &mut [Tube], mirrored: bool, options: &Options, told: &mut Told) {
    // What this program wrote stands where it is; others come to it.
    let mut fixed = Places::new(MEANT);
    tubes.iter().filter(|t| t.whole).for_each(|t| [0, 1].iter().for_each(|e| _ = fixed.add(t.end(*e))));
    let mut near = Places::new(options.within);
    fixed.at.iter().for_each(|p| _ = near.insert(*p));
    for t in tubes.iter_mut().filter(|t| !t.whole) {
        for e in 0..2 {
            if let Some(k) = near.find(t.end(e)) {
                t.set_end(e, near.at[k]);
            }
        }
    }
    let mut places = Places::new(options.within);
    let free: Vec<usize> = (0..tubes.len()).filter(|k| !tubes[*k].whole).collect();
    let ids: Vec<[usize; 2]> = free.iter().map(|k| [0, 1].map(|e| places.add(tubes[*k].end(e)))).collect();
    let mut sum = vec![(DVec3::ZERO, 0.0); places.at.len()];
    for (k, id) in free.iter().zip(&ids) {
        let t = &tubes[*k];
        for e in 0..2 {
            sum[id[e]].0 += t.end(e);
            sum[id[e]].1 += 1.0;
        }
    }
    let mean: Vec<DVec3> = sum.iter().map(|s| s.0 / s.1).collect();
    let over = |p: DVec3| DVec3::new(p.x, -p.y, p.z);
    let at: Vec<DVec3> = mean
        .iter()
        .enumerate()
        .map(|(k, p)| match places.find(over(*p)).filter(|_| mirrored) {
            Some(j) if j == k => DVec3::new(p.x, 0.0, p.z),
            Some(j) => (*p + over(mean[j])) / 2.0,
            None => *p,
        })
        .collect();
    let (mut moved, mut most) = (0, 0f64);
    for (k, id) in free.iter().zip(&ids) {
        let t = &mut tubes[*k];
        for e in 0..2 {
            // Where something stands fixed, the end is already.
            if near.find(t.end(e)).is_some() {
                continue;
            }
            let d = t.end(e).distance(at[id[e]]);
            if d > 0.0 && t.set_end(e, at[id[e]]) && d > SAME_PLACE {
                moved += 1;
                most = most.max(d);
            }
        }
    }
    if moved > 0 {
        told.done(format!(
            "{} brought together with those nearer than {} mm, by {:.3} mm at most",
            count(moved, "end was", "ends were"),
            options.within * 1e3,
            most * 1e3
        ));
    }
}
