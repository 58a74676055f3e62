//! Templates wrapped round their tubes in three dimensions.

mod common;

use common::{BOXES, SAME, cuts, gorse, odd_ends, review_of, sheets, texts};
use glam::DVec2;
use packet::sheet::templates;
use review::Review;
use shape::End;

/// Overlap of the parts of a template, mm, as the sheets themselves tell it to the shop.
const OVERLAP: f64 = 10.0;

/// The cut's line of each odd end, its parts laid over one another as the shop does: from 0 across, down the page, with
/// 0 at its lowest place.
fn pasted(r: &Review) -> Vec<(&cutting::Piece, End, Vec<DVec2>)> {
    let mut drawn = cuts(&sheets(r)).into_iter();
    let mut out = Vec::new();
    for (p, end) in odd_ends(r) {
        let around = 1e3 * templates::perimeter(&p.size);
        let mut whole: Vec<DVec2> = Vec::new();
        while whole.last().is_none_or(|q| q.x < around - SAME) {
            let part = drawn.next().expect("as many parts as the tube is round");
            let (x, y) = match whole.last() {
                None => (0.0, part[0].y),
                Some(last) => {
                    let x = last.x - OVERLAP;
                    let k = whole.partition_point(|q| q.x < x - SAME).max(1);
                    let (a, b) = (whole[k - 1], whole[k]);
                    (x, a.lerp(b, ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0)).y)
                }
            };
            let moved: Vec<DVec2> = part.iter().map(|q| *q - part[0] + DVec2::new(x, y)).collect();
            // Where two parts lie over one another they show the same line.
            for q in moved.iter().take_while(|q| whole.last().is_some_and(|l| q.x < l.x)) {
                let k = whole.partition_point(|w| w.x < q.x).max(1);
                let (a, b) = (whole[k - 1], whole[k]);
                let want = a.lerp(b, ((q.x - a.x) / (b.x - a.x)).clamp(0.0, 1.0));
                assert!(q.distance(want) < SAME, "parts of the {} of {} differ", end.word(), p.name);
            }
            let from = whole.last().map_or(f64::NEG_INFINITY, |l| l.x);
            whole.extend(moved.into_iter().filter(|q| q.x > from));
        }
        let low = whole.iter().map(|q| q.y).fold(f64::NEG_INFINITY, f64::max);
        out.push((p, end, whole.into_iter().map(|q| DVec2::new(q.x, q.y - low)).collect()));
    }
    assert!(drawn.next().is_none(), "as many templates as ends");
    out
}

/// Where paper laid round a box tube comes to lie: a distance round from the middle of the top face, `u` up and `e` to
/// the right. It lies flat on the faces and bends round the corners.
fn folded(width: f64, height: f64, corner: f64, mut d: f64) -> DVec2 {
    let quarter = corner * std::f64::consts::FRAC_PI_2;
    // Each flat: its length, the way along it and the way out of its face, as (u, e).
    let faces = [
        (width / 2.0 - corner, DVec2::Y, DVec2::X),
        (height - 2.0 * corner, DVec2::NEG_X, DVec2::Y),
        (width - 2.0 * corner, DVec2::NEG_Y, DVec2::NEG_X),
        (height - 2.0 * corner, DVec2::X, DVec2::NEG_Y),
        (width / 2.0 - corner, DVec2::Y, DVec2::X),
    ];
    let mut at = DVec2::new(height / 2.0, 0.0);
    for (flat, along, out) in faces {
        if d <= flat {
            return at + along * d;
        }
        (d, at) = (d - flat, at + along * flat);
        if d <= quarter {
            let a = d / corner;
            return at - out * corner + (out * a.cos() + along * a.sin()) * corner;
        }
        (d, at) = (d - quarter, at - out * corner + along * corner);
    }
    at
}

/// The bold line of each template, wrapped print outward round its tube, lies where the profile's fibres end: the paper's
/// left to right, seen from outside with the way out upward, is a right-handed turn about the way out.
fn assert_wraps(r: &Review) -> usize {
    // Boxes, at starts and at ends, of drawn and of mirrored tubes.
    let mut boxes = std::collections::BTreeSet::new();
    for (p, end, line) in pasted(r) {
        let t = &r.shape.tubes[p.tube];
        let (fibres, out) = (&p.end(end).profile.fibres, t.outward(end));
        let least = fibres.iter().map(|f| f.radial).fold(f64::INFINITY, f64::min) * 1e3;
        let right = out.t.cross(out.u);
        // Where each point of the paper comes to lie about the end point, mm.
        let wrapped: Vec<geometry::DVec3> = line
            .iter()
            .map(|q| {
                let f = match p.size {
                    design::SectionShape::Round { od, .. } => {
                        let r = 1e3 * od / 2.0;
                        DVec2::from_angle(q.x / r) * r
                    }
                    design::SectionShape::Box { width, height, corner, .. } => {
                        boxes.insert((end as usize, p.twin_of.is_some()));
                        folded(1e3 * width, 1e3 * height, 1e3 * corner, q.x)
                    }
                };
                out.u * f.x + right * f.y + out.t * (least - q.y)
            })
            .collect();
        assert!(line.len() > fibres.len(), "{}", p.name);
        for f in fibres {
            let q = t.outline.point(t.outline.station(f.round)) * 1e3;
            let f0 = match end {
                End::Start => t.frames[0],
                End::End => t.frames[t.frames.len() - 1],
            };
            let want = f0.u * q.x + f0.v * q.y + out.t * (f.radial * 1e3);
            let miss = wrapped.iter().map(|w| w.distance(want)).fold(f64::INFINITY, f64::min);
            assert!(miss < SAME, "{} of {}: {miss} mm off", end.word(), p.name);
        }
        // It closes: as far across as the tube is round, as high as at first.
        let last = line[line.len() - 1] - line[0];
        assert!((last.x - 1e3 * templates::perimeter(&p.size)).abs() < SAME && last.y.abs() < SAME, "{}", p.name);
    }
    boxes.len()
}

#[test]
fn templates_wrap_onto_the_profile() {
    assert_eq!(assert_wraps(&gorse()), 4, "rails at starts and ends, drawn and mirrored");
}

#[test]
fn box_templates_wrap_onto_the_profile() {
    let r = review_of(BOXES);
    assert_eq!(assert_wraps(&r), 4, "starts and ends, drawn and mirrored");
    let pages = sheets(&r);
    let parts = |name: &str| {
        let title = format!(" {name} · start · part");
        pages.iter().flat_map(texts).filter(|t| t.text.contains(&title)).count()
    };
    assert!(parts("large") > 1 && parts("flat") == 0, "the large one comes in parts, the small one whole");
}

/// A template that is a little too wide to have another beside it lies on its side.
#[test]
fn narrow_templates_share_their_pages() {
    let r = gorse();
    let narrow =
        |p: &cutting::Piece| matches!(p.size, design::SectionShape::Round { od, .. } if (od - 0.030).abs() < 1e-9);
    let titles: Vec<String> = odd_ends(&r)
        .iter()
        .filter(|(p, _)| narrow(p))
        .map(|(p, e)| format!("{} {} · {}", p.number, p.name, e.word()))
        .collect();
    let pages = sheets(&r);
    let most = pages.iter().map(|p| texts(p).filter(|t| titles.contains(&t.text)).count()).max();
    assert!(most >= Some(6), "{most:?} of a page's templates of 30 mm tube");
    assert!(pages.iter().flat_map(texts).any(|t| titles.contains(&t.text) && t.turn != 0.0), "none is turned");
}
