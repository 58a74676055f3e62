//! Lines cut to a stretch or a band.

use glam::DVec2;

/// A stretch that one page shows, from and to, mm.
pub type Span = (f64, f64);

/// The runs of a line whose heights lie within a band, cut at its edges.
pub fn band(points: &[DVec2], (lo, hi): Span) -> Vec<Vec<DVec2>> {
    let mut out: Vec<Vec<DVec2>> = Vec::new();
    let mut run: Vec<DVec2> = Vec::new();
    for w in points.windows(2) {
        let (a, b) = (w[0], w[1]);
        let rise = b.y - a.y;
        // Part of this stretch within the band.
        let (mut f, mut g) = if rise == 0.0 { (0.0, 1.0) } else { ((lo - a.y) / rise, (hi - a.y) / rise) };
        if rise < 0.0 {
            std::mem::swap(&mut f, &mut g);
        }
        let outside = rise == 0.0 && !(lo..=hi).contains(&a.y);
        let (f, g) = (f.max(0.0), g.min(1.0));
        if outside || f > g {
            out.extend((run.len() > 1).then(|| std::mem::take(&mut run)));
            run.clear();
            continue;
        }
        if run.is_empty() {
            run.push(if f > 0.0 { a.lerp(b, f) } else { a });
        }
        run.push(if g < 1.0 { a.lerp(b, g) } else { b });
        if g < 1.0 {
            out.push(std::mem::take(&mut run));
        }
    }
    out.extend((run.len() > 1).then_some(run));
    out
}

/// The part of a line over `[from, to]`, its ends interpolated.
pub fn clip(points: &[DVec2], from: f64, to: f64) -> Vec<DVec2> {
    let at = |x: f64| {
        let k = points.partition_point(|q| q.x < x).clamp(1, points.len() - 1);
        let (a, b) = (points[k - 1], points[k]);
        let f = if b.x > a.x { ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0) } else { 0.0 };
        a.lerp(b, f)
    };
    let mut out = vec![at(from)];
    out.extend(points.iter().copied().filter(|q| q.x > from && q.x < to));
    if to > from {
        out.push(at(to));
    }
    out
}
